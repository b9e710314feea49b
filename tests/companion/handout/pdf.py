"""Reads a PDF with poppler's programs, the referee of what was set."""

from __future__ import annotations

import re
import subprocess
from dataclasses import dataclass
from pathlib import Path
from xml.etree.ElementTree import Element, fromstring

from tests.referees import require_program


@dataclass(frozen=True)
class ReadPdf:
    """A PDF file."""

    path: Path

    def info(self, name: str) -> str:
        """What the file says of itself by a name: "Pages", "Page size", "Title"."""
        lines = self._told("pdfinfo", self.path).splitlines()
        return next(line.partition(":")[2].strip() for line in lines if line.startswith(f"{name}:"))

    def metadata(self) -> str:
        """Its metadata (ISO 16684, XMP)."""
        return self._told("pdfinfo", "-meta", self.path)

    def text(self, page: int | None = None) -> str:
        """The words of a page, or of all, in one line."""
        only = [] if page is None else ["-f", str(page), "-l", str(page)]
        return " ".join(self._told("pdftotext", "-layout", *only, self.path, "-").split())

    def fonts(self) -> dict[str, bool]:
        """The fonts that it uses, without the letters of their subsets, and whether each is embedded."""
        rows = self._told("pdffonts", self.path).splitlines()[2:]
        first = [(row.split()[0].partition("+")[2], re.findall(r"\s(yes|no)(?=\s)", row)[0]) for row in rows]
        return {name: embedded == "yes" for name, embedded in first}

    def outline(self) -> list[tuple[str, int]]:
        """Its headings of the first level, with the page that each leads to."""
        items = self._html().find("outline")
        assert items is not None
        return [(item.text or "", int(item.get("page", ""))) for item in items.findall("item")]

    def links(self) -> list[tuple[str, int]]:
        """The first words of each link within the file, with the page that it leads to."""
        links = [("".join(each.itertext()), each.get("href", "")) for each in self._html().iter("a")]
        return [(words.partition(" . ")[0], int(target.partition("#")[2])) for words, target in links]

    def _html(self) -> Element:
        """Its pages as XML, without the lines in front that name a document type."""
        told = self._told("pdftohtml", "-xml", "-i", "-stdout", self.path)
        return fromstring(told[told.index("<pdf2xml") :])

    @staticmethod
    def _told(program: str, *words: str | Path) -> str:
        command = [require_program(program), *map(str, words)]
        return subprocess.run(command, check=True, capture_output=True, text=True, encoding="utf-8").stdout
