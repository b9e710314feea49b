"""Writes notes, gracenotes and rests as MusicXML."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from companion.score.formats.musicxml_out.words import DECORATIONS, type_of
from companion.score.staff.model import StaffBar, StaffBeam, StaffGrace, StaffItem, StaffNote, TupletRatio
from companion.score.staff.values import NoteValue
from fingering.notes import Note

VOICE = "1"


@dataclass(frozen=True, slots=True)
class Written:
    """A note of a bar with what is around it: its tuplet, whether it begins or ends that, and the beams at it.

    beams: "begin", "continue", "end" or a hook for each beam, outermost first.
    """

    note: StaffNote
    beams: tuple[str, ...] = ()
    ratio: TupletRatio | None = None
    begins: bool = False
    ends: bool = False


def written_notes(bar: StaffBar) -> Iterator[Written]:
    """Yield the notes of a bar in order."""
    for item in bar.items:
        if isinstance(item, StaffNote | StaffBeam):
            yield from _beamed(item)
            continue
        inner = [each for part in item.items for each in _beamed(part)]
        last = len(inner) - 1
        for i, each in enumerate(inner):
            yield Written(each.note, each.beams, item.ratio, begins=i == 0, ends=i == last)


def _beamed(item: StaffItem) -> Iterator[Written]:
    if isinstance(item, StaffNote):
        yield Written(item)
    elif isinstance(item, StaffBeam):
        beams = beams_of([note.value.flags for note in item.notes])
        yield from (Written(note, each) for note, each in zip(item.notes, beams, strict=True))


def beams_of(flags: Sequence[int]) -> list[tuple[str, ...]]:
    """The beams at each note of a group: how each of them goes on there, by how many flags the notes have."""
    found: list[tuple[str, ...]] = []
    for i, own in enumerate(flags):
        before = flags[i - 1] if i else 0
        after = flags[i + 1] if i + 1 < len(flags) else 0
        found.append(tuple(_beam(level, before, after, first=i == 0) for level in range(1, own + 1)))
    return found


def _beam(level: int, before: int, after: int, *, first: bool) -> str:
    if before >= level:
        return "continue" if after >= level else "end"
    if after >= level:
        return "begin"
    return "forward hook" if first else "backward hook"


class NoteWriter:
    """Writes the notes of a tune. divisions: of a crotchet, in which durations are counted."""

    def __init__(self, divisions: int) -> None:
        self._divisions = divisions

    def add(self, measure: Element, written: Written, *, ends_phrase: bool = False) -> None:
        """Write a note with the gracenotes that lead onto it; `ends_phrase` marks the end of a phrase after it."""
        note = written.note
        self._add_graces(measure, note)
        element = SubElement(measure, "note")
        if note.note is None:
            SubElement(element, "rest")
        else:
            _add_pitch(element, note.note)
        _text(element, "duration", str(self.duration(note.length)))
        _add_ties(element, note)
        _text(element, "voice", VOICE)
        _add_value(element, note.value)
        if written.ratio is not None:
            modified = SubElement(element, "time-modification")
            _text(modified, "actual-notes", str(written.ratio.actual))
            _text(modified, "normal-notes", str(written.ratio.normal))
        if note.note is not None:
            _text(element, "stem", "down")
        _add_beams(element, written.beams)
        _add_notations(element, written, ends_phrase=ends_phrase)

    def add_whole_rest(self, measure: Element, length: Fraction) -> None:
        """Write a rest of a whole bar."""
        element = SubElement(measure, "note")
        SubElement(element, "rest", measure="yes")
        _text(element, "duration", str(self.duration(length)))
        _text(element, "voice", VOICE)

    def duration(self, length: Fraction) -> int:
        """A length in divisions, one at least."""
        return max(1, round(4 * length * self._divisions))

    def _add_graces(self, measure: Element, note: StaffNote) -> None:
        flags = [grace.value.flags for grace in note.graces]
        beams = beams_of(flags) if len(flags) > 1 else [()]
        for grace, each in zip(note.graces, beams, strict=False):
            _add_grace(measure, grace, each, slashed=note.source.acciaccatura)


def _add_grace(measure: Element, grace: StaffGrace, beams: Sequence[str], *, slashed: bool) -> None:
    element = SubElement(measure, "note")
    SubElement(element, "grace", {"slash": "yes"} if slashed else {})
    _add_pitch(element, grace.note)
    _text(element, "voice", VOICE)
    _add_value(element, grace.value)
    _text(element, "stem", "up")
    _add_beams(element, beams)


def _text(parent: Element, tag: str, text: str) -> None:
    SubElement(parent, tag).text = text


def _add_pitch(element: Element, note: Note) -> None:
    """Write the pitch as it is written for the pipes and sounds at an A of 440 Hz: C and F are sharp."""
    pitch = SubElement(element, "pitch")
    octave, semitone = divmod(note.midi, 12)
    _text(pitch, "step", note.letter.upper())
    if semitone in (1, 6):
        _text(pitch, "alter", "1")
    _text(pitch, "octave", str(octave - 1))


def _add_value(element: Element, value: NoteValue) -> None:
    _text(element, "type", type_of(value))
    for _ in range(value.dots):
        SubElement(element, "dot")


def _add_ties(element: Element, note: StaffNote) -> None:
    if note.tied_in:
        SubElement(element, "tie", type="stop")
    if note.tied_on:
        SubElement(element, "tie", type="start")


def _add_beams(element: Element, beams: Sequence[str]) -> None:
    for number, beam in enumerate(beams[:8], start=1):
        SubElement(element, "beam", number=str(number)).text = beam


def _add_notations(element: Element, written: Written, *, ends_phrase: bool) -> None:
    notations = Element("notations")
    note = written.note
    if note.tied_in:
        SubElement(notations, "tied", type="stop")
    if note.tied_on:
        SubElement(notations, "tied", type="start")
    if written.begins:
        SubElement(notations, "tuplet", type="start", bracket="yes")
    if written.ends:
        SubElement(notations, "tuplet", type="stop")
    signs = [] if note.tied_in else [DECORATIONS[each] for each in note.source.decorations if each in DECORATIONS]
    if ends_phrase:
        signs.append(("articulations", "breath-mark"))
    for holder, name in dict.fromkeys(signs):
        group = notations.find(holder)
        if group is None:
            group = SubElement(notations, holder)
        if name:
            SubElement(group, name)
    if len(notations):
        element.append(notations)
