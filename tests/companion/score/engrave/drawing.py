"""Reads an engraved page back: what stands where in its SVG."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, fromstring

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
REPEAT_DOTS = "E044"  # SMuFL: repeatDot


@dataclass(frozen=True)
class Stem:
    """A note's stem: where the note head is, and the stem's end farther from it."""

    head_y: float
    end_y: float

    @property
    def down(self) -> bool:
        """Whether it goes down."""
        return self.end_y > self.head_y


class Drawing:
    """The elements of some pages."""

    def __init__(self, pages: Sequence[str]) -> None:
        self._roots = [fromstring(page) for page in pages]

    def each(self, kind: str) -> Iterator[Element]:
        """All elements of a class, in order."""
        for root in self._roots:
            for element in root.iter():
                if kind in element.get("class", "").split():
                    yield element

    def ids(self, kind: str, prefix: str) -> list[str]:
        """The ids of all elements of a class that are `prefix` and a number, or a number and a further one."""
        shape = re.compile(rf"{prefix}\d+(?:-\d+)?")
        return [name for each in self.each(kind) if shape.fullmatch(name := each.get("id", ""))]

    def of_id(self, name: str) -> Element:
        """The element with an id."""
        return next(each for root in self._roots for each in root.iter() if each.get("id") == name)

    def lines(self) -> list[list[str]]:
        """The ids of the bars on each line."""
        return [[each.get("id", "") for each in system.iter() if "measure" in each.get("class", "").split()]
                for system in self.each("system")]  # fmt: skip

    def repeat_dots(self) -> int:
        """How many pairs of repeat dots there are."""
        uses = [each for bar_line in self.each("barLine") for each in bar_line.iter() if each.tag.endswith("use")]
        return sum(REPEAT_DOTS in (next(v for k, v in use.attrib.items() if k.endswith("href"))) for use in uses) // 2

    def words(self) -> str:
        """All that is written in letters."""
        texts = [each for root in self._roots for each in root.iter() if each.tag.endswith("}text")]
        return " ".join("".join(each.itertext()).strip() for each in texts)

    def beams(self) -> list[list[str]]:
        """The ids of the notes under each beam, without those under a beam of their own within it."""
        return [list(_own_notes(beam)) for beam in self.each("beam")]


def _own_notes(beam: Element) -> Iterator[str]:
    for child in beam:
        kinds = child.get("class", "").split()
        if "note" in kinds:
            yield child.get("id", "")
        elif "beam" not in kinds:
            yield from _own_notes(child)


def head(note: Element) -> tuple[float, float]:
    """Where the head of a note stands."""
    (part,) = [each for each in note.iter() if "notehead" in each.get("class", "").split()]
    use = next(each for each in part.iter() if each.get("transform"))
    x, y, *_ = map(float, NUMBER.findall(use.get("transform", "")))
    return x, y


def stem(note: Element) -> Stem | None:
    """The stem of a note, None where it has none."""
    part = next((each for each in note.iter() if "stem" in each.get("class", "").split()), None)
    path = None if part is None else next((each for each in part.iter() if each.get("d")), None)
    if path is None:
        return None
    _, first, _, second = map(float, NUMBER.findall(path.get("d", ""))[:4])
    y = head(note)[1]
    return Stem(y, max(first, second, key=lambda end: abs(end - y)))
