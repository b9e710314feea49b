"""Prepares a MusicXML document to be turned into MEI: what is not read is left out, and each note gets an id.

By these ids a problem is told with the place in the file that the user gave.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from xml.sax.saxutils import escape, quoteattr

from companion.files.lines import one_line
from companion.score.formats.musicxml.sense import makes_sense
from companion.score.formats.musicxml.titles import TitleReader
from companion.score.formats.musicxml.vocabulary import READ, READ_ATTRIBUTES, TYPES
from companion.score.formats.xml.events import walk_xml
from companion.score.formats.xml.refusal import refused
from companion.score.place import Place
from companion.score.problems import ProblemKind
from companion.score.staff.values import value_of

PARTWISE, TIMEWISE = "score-partwise", "score-timewise"
MOST_NOTES_PREPARED = 200_000
"""Notes, in all parts, of a score that is turned into MEI, which takes some 10 s for so many."""


@dataclass(slots=True)
class PreparedScore:
    """A MusicXML document as it is turned into MEI.

    places: where notes and measures stand in the file, by their ids. passes: how often a repeat that ends in a measure
    is played, by its id; rests: how many measures of rest begin with it. heading: what it says of itself, by the fields
    of `Heading`. key: the name of the key that it keeps beside the signature, "" for none. fields: those of ABC.
    """

    text: str = ""
    begins: Place = field(default_factory=lambda: Place("", 1, 1))
    places: dict[str, Place] = field(default_factory=dict)
    passes: dict[str, int] = field(default_factory=dict)
    rests: dict[str, int] = field(default_factory=dict)
    heading: dict[str, str] = field(default_factory=dict)
    key: str = ""
    fields: tuple[tuple[str, str], ...] = ()


def prepare(text: str, source: str) -> PreparedScore:
    """Prepare a document. Raises UserError where it is no score in MusicXML, is broken, or holds too much."""
    preparer = _Preparer(source)
    walk_xml(text, source, preparer)
    return preparer.finished()


class _Preparer:
    """Is told of elements. The pieces of each part are gathered by themselves, since a score may be cut by time."""

    def __init__(self, source: str) -> None:
        self._source = source
        self._made = PreparedScore()
        self._titles = TitleReader()
        self._path: list[str] = []
        self._passed_over = 0
        self._head: list[str] = []
        self._parts: dict[str, list[str]] = defaultdict(list)
        self._pieces = self._head
        self._part = ""
        self._measure = ""
        self._opened_measure = ""
        self._timewise = False
        self._notes = 0
        self._note = _NoteFacts()
        self._divisions: dict[str, int] = defaultdict(lambda: 1)
        self._text: list[str] = []
        self._open: list[_OpenElement] = []

    def begin(self, tag: str, attributes: dict[str, str], line: int, column: int) -> None:
        if not self._path:
            self._begin_score(tag, Place(self._source, line, column))
        self._path.append(tag)
        self._text.clear()
        self._titles.begin(self._path, attributes)
        if self._passed_over or tag not in READ or self._astray(tag):
            self._passed_over += 1
            return
        if tag in ("part", "measure"):
            self._begin_stretch(tag, attributes, Place(self._source, line, column))
            return
        kept = {name: value for name, value in attributes.items() if name in READ_ATTRIBUTES}
        if tag == "score-part":
            kept["id"] = attributes.get("id", "")
        elif tag == "note":
            kept["id"] = self._begin_note(Place(self._source, line, column))
        elif tag == "repeat":
            self._take_passes(attributes)
        self._note.begin(tag, attributes)
        if tag not in (PARTWISE, TIMEWISE):
            self._open.append(_OpenElement(len(self._pieces), kept.get("location") == "middle"))
            self._pieces.append(_opening(tag, kept))

    def _astray(self, tag: str) -> bool:
        """Whether a part, a measure or a whole score stands where none can."""
        within = self._path[-2] if len(self._path) > 1 else ""
        if tag in (PARTWISE, TIMEWISE):
            return bool(within)
        by_part, by_time = {"part": PARTWISE, "measure": "part"}, {"part": "measure", "measure": TIMEWISE}
        places = by_time if self._timewise else by_part
        return tag in places and places[tag] != within

    def text(self, text: str) -> None:
        self._text.append(text)

    def end(self, tag: str) -> None:
        text = "".join(self._text)
        self._text.clear()
        self._titles.end(self._path, text)
        self._path.pop()
        if self._passed_over:
            self._passed_over -= 1
            return
        if tag in (PARTWISE, TIMEWISE):
            return
        if tag in ("part", "measure"):
            self._end_stretch(tag)
            return
        opened = self._open.pop()
        if not makes_sense(tag, text, opened.children):
            del self._pieces[opened.at :]
            return
        if tag == "measure-style":  # which would lose the signs of all its measures but the first
            del self._pieces[opened.at :]
            return
        if self._open:
            self._open[-1].children.add(tag)
        if tag == "divisions":
            self._divisions[self._part] = round(float(text))
        elif tag == "multiple-rest":
            self._made.rests[self._measure] = round(float(text))
        self._note.end(tag, text)
        if tag == "pitch" and "alter" not in opened.children:
            self._pieces.append("<alter>0</alter>")  # so that a natural is told from one that the signature changes
        elif opened.middle and "bar-style" not in opened.children:
            self._pieces.append("<bar-style>light-heavy</bar-style>")  # a repeat within a measure is not seen without
        elif tag == "note":
            self._pieces.append(self._note.missing_value(self._divisions[self._part]))
        if not text.isspace():
            self._pieces.append(escape(text))
        self._pieces.append(f"</{tag}>")

    def finished(self) -> PreparedScore:
        """The document that was made."""
        made = self._made
        parts = (f"<part id={quoteattr(name)}>{''.join(pieces)}</part>" for name, pieces in self._parts.items())
        made.text = f'<{PARTWISE} version="4.0">{"".join(self._head)}{"".join(parts)}</{PARTWISE}>'
        made.heading = dict(self._titles.heading())
        made.key = self._titles.key
        made.fields = tuple(self._titles.fields)
        return made

    # Parts and measures

    def _begin_score(self, tag: str, place: Place) -> None:
        if tag not in (PARTWISE, TIMEWISE):
            what = f"this is XML, but no score in MusicXML (its outermost element is <{one_line(tag[:40])}>)"
            raise refused(self._source, ProblemKind.NO_SCORE, what, "give MusicXML or MEI", *place[1:])
        self._timewise = tag == TIMEWISE
        self._made.begins = place

    def _begin_stretch(self, tag: str, attributes: dict[str, str], place: Place) -> None:
        """A part or a measure: in a score cut by time, each part is within a measure."""
        if tag == "part":
            self._part = attributes.get("id", "")
            self._pieces = self._parts[self._part]
        else:
            self._measure = f"m{len(self._made.places)}"
            self._made.places[self._measure] = place
            kept = {name: value for name, value in attributes.items() if name in READ_ATTRIBUTES}
            self._opened_measure = _opening("measure", {**kept, "id": self._measure})
        if (tag == "part") == self._timewise:
            self._pieces.append(self._opened_measure)

    def _end_stretch(self, tag: str) -> None:
        if (tag == "part") == self._timewise:
            self._pieces.append("</measure>")
        if tag == "part":
            self._pieces = self._head

    def _take_passes(self, attributes: dict[str, str]) -> None:
        times = attributes.get("times", "")
        if attributes.get("direction") == "backward" and times.isdecimal() and 2 < int(times[:4]) <= 64:
            self._made.passes[self._measure] = int(times)

    # Notes

    def _begin_note(self, place: Place) -> str:
        self._notes += 1
        if self._notes > MOST_NOTES_PREPARED:
            what = f"this score holds more than {MOST_NOTES_PREPARED:,} notes, more than any tune"
            raise refused(self._source, ProblemKind.BOOK_TOO_LARGE, what, "save the tune alone", *place[1:])
        name = f"n{len(self._made.places)}"
        self._made.places[name] = place
        self._note = _NoteFacts()
        return name


@dataclass(slots=True)
class _OpenElement:
    """An element that has begun: from which piece on it is written, and the children that it has so far.

    middle: whether it is a bar line within a measure.
    """

    at: int
    middle: bool = False
    children: set[str] = field(default_factory=set)


@dataclass(slots=True)
class _NoteFacts:
    """What is known so far of one note: whether its value is told, how long it lasts, by which tuplet."""

    valued: bool = False
    duration: str = ""
    actual: str = "1"
    normal: str = "1"

    def begin(self, tag: str, attributes: dict[str, str]) -> None:
        if tag in ("type", "grace") or (tag == "rest" and attributes.get("measure") == "yes"):
            self.valued = True

    def end(self, tag: str, text: str) -> None:
        if tag == "duration":
            self.duration = text.strip()
        elif tag == "actual-notes":
            self.actual = text.strip()
        elif tag == "normal-notes":
            self.normal = text.strip()

    def missing_value(self, divisions: int) -> str:
        """The `type` and `dot` elements of a note that tells its duration only; "" where it tells its value."""
        told = (self.duration, self.actual, self.normal)
        if self.valued or not all(each.isdecimal() and int(each[:9]) > 0 for each in told):
            return ""
        lasts, actual, normal = (int(each[:9]) for each in told)
        value = value_of(Fraction(lasts * actual, 4 * divisions * normal))
        if value is None or value.base.bit_length() >= len(TYPES):
            return ""
        return f"<type>{TYPES[value.base.bit_length()]}</type>{'<dot/>' * value.dots}"


def _opening(tag: str, attributes: dict[str, str]) -> str:
    return f"<{tag}{''.join(_written(attributes))}>"


def _written(attributes: dict[str, str]) -> Iterator[str]:
    yield from (f" {name}={quoteattr(value)}" for name, value in attributes.items())
