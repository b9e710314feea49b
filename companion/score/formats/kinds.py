"""Tells which format a file of tunes is in, by what it holds; its name only says how a new one is to be written."""

from __future__ import annotations

import codecs
import enum
import re


class TuneFormat(enum.Enum):
    """A format of files that hold tunes: its name, and the endings of such files, the usual one first."""

    ABC = "ABC", (".abc", ".abh")
    MUSICXML = "MusicXML", (".musicxml", ".xml")
    PACKED_MUSICXML = "compressed MusicXML", (".mxl",)
    MEI = "MEI", (".mei",)
    MIDI = "MIDI", (".mid", ".midi")

    def __init__(self, label: str, endings: tuple[str, ...]) -> None:
        self.label = label
        self.endings = endings


READABLE = (TuneFormat.ABC, TuneFormat.MUSICXML, TuneFormat.PACKED_MUSICXML, TuneFormat.MEI)
"""The formats from which a tune can be read."""

ENDINGS = tuple(ending for each in READABLE for ending in each.endings)
"""The endings of files that may hold tunes, in lower case."""

BEGINNING = 1 << 16
"""Bytes from which a file's format can be told: before the outermost element of XML there may be long remarks."""

_ZIP_MARK = b"PK\x03\x04"  # APPNOTE 4.3.7
_NAMES_IN_SCORES = (b"META-INF/container.xml", b".musicxml")
_BEFORE_ROOT = re.compile(r"\s*(?:<\?[^>]*>|<!--(?:[^-]|-(?!->))*-->|<!DOCTYPE[^>\[]*(?:\[[^\]]*\]\s*)?>)")
_ROOT = re.compile(r"\s*<(?:[\w.-]+:)?([\w-]+)")
_MUSICXML_ROOTS = frozenset({"score-partwise", "score-timewise"})
_MEI_ROOTS = frozenset({"mei", "meiCorpus", "music"})
_WIDE = ((codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"), (b"<\0", "utf-16-le"), (b"\0<", "utf-16-be"))


def format_of(beginning: bytes, name: str) -> TuneFormat:
    """The format in which a file is to be read, by its first BEGINNING bytes.

    name: the file's; only of XML whose beginning tells nothing does its ending decide. What is in no other format is
    left to the ABC reader, which says what else it may be.
    """
    if beginning.startswith(_ZIP_MARK):
        packed = format_of_name(name) in _XML_FORMATS or any(each in beginning for each in _NAMES_IN_SCORES)
        return TuneFormat.PACKED_MUSICXML if packed else TuneFormat.ABC
    text = _as_text(beginning)
    if not text.lstrip("\ufeff \t\r\n").startswith("<"):
        return TuneFormat.ABC
    root = _root_of(text.lstrip("\ufeff"))
    if root in _MUSICXML_ROOTS:
        return TuneFormat.MUSICXML
    if root in _MEI_ROOTS:
        return TuneFormat.MEI
    named = format_of_name(name)
    return TuneFormat.MUSICXML if named is TuneFormat.PACKED_MUSICXML else named if named in _XML_FORMATS else _ABC


_ABC = TuneFormat.ABC
_XML_FORMATS = (TuneFormat.MUSICXML, TuneFormat.PACKED_MUSICXML, TuneFormat.MEI)


def format_of_name(name: str) -> TuneFormat | None:
    """The format that a file's ending stands for; None for another ending."""
    lower = name.lower()
    return next((each for each in TuneFormat if lower.endswith(each.endings)), None)


def _as_text(beginning: bytes) -> str:
    encoding = next((encoding for mark, encoding in _WIDE if beginning.startswith(mark)), "utf-8")
    return beginning.decode(encoding, errors="replace")


def _root_of(text: str) -> str:
    """The name of the outermost element of XML, without its prefix; "" where it cannot be seen."""
    at = 0
    while match := _BEFORE_ROOT.match(text, at):
        at = match.end()
    root = _ROOT.match(text, at)
    return root[1] if root else ""
