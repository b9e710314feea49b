"""What stands in a bar as MEI: notes with stems down, gracenotes with stems up above them, beams, tuplets, rests."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from xml.etree.ElementTree import Element, SubElement

from companion.score.staff.model import StaffBar, StaffBeam, StaffGrace, StaffItem, StaffNote, StaffTuplet, notes_of
from companion.score.staff.values import NoteValue
from fingering.notes import Note

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"

# Written pitch: low G is the G above middle C.
_PITCHES: Mapping[Note, tuple[str, str]] = MappingProxyType(
    {
        Note.LOW_G: ("g", "4"),
        Note.LOW_A: ("a", "4"),
        Note.B: ("b", "4"),
        Note.C: ("c", "5"),
        Note.D: ("d", "5"),
        Note.E: ("e", "5"),
        Note.F: ("f", "5"),
        Note.HIGH_G: ("g", "5"),
        Note.HIGH_A: ("a", "5"),
    }
)
_SHARP = frozenset({Note.C, Note.F})
_ARTICULATIONS: Mapping[str, str] = MappingProxyType(
    {".": "stacc", "staccato": "stacc", "accent": "acc", ">": "acc", "emphasis": "acc", "L": "acc", "tenuto": "ten"}
)


def add_layer(staff: Element, bar: StaffBar) -> None:
    """Write the bar's notes into a `layer` of a `staff` element."""
    layer = SubElement(staff, "layer", n="1")
    if bar.bar.signs.counts_for > 1:
        SubElement(layer, "multiRest", {XML_ID: bar.notes[0].id, "num": str(bar.bar.signs.counts_for)})
        return
    for item in bar.items:
        _add_item(layer, item)


def _add_item(parent: Element, item: StaffItem) -> None:
    """Write an item after the gracenotes onto its first note, which so begin no beam and no tuplet."""
    _add_graces(parent, notes_of(item)[0])
    if isinstance(item, StaffTuplet):
        ratio = item.ratio
        holder = SubElement(parent, "tuplet", num=str(ratio.actual), numbase=str(ratio.normal))
        items: tuple[StaffNote | StaffBeam, ...] = item.items
    elif isinstance(item, StaffBeam):
        holder, items = SubElement(parent, "beam"), item.notes
    else:
        _add_note(parent, item)
        return
    for i, each in enumerate(items):
        if i:
            _add_item(holder, each)
        else:
            _add_without_graces(holder, each)


def _add_without_graces(parent: Element, item: StaffNote | StaffBeam) -> None:
    """Write an item whose first note has had its gracenotes already."""
    first, *others = notes_of(item)
    holder = SubElement(parent, "beam") if isinstance(item, StaffBeam) else parent
    _add_note(holder, first)
    for note in others:
        _add_item(holder, note)


def _add_note(parent: Element, note: StaffNote) -> None:
    if note.note is None:
        SubElement(parent, "rest", {XML_ID: note.id, **_value(note.value)})
        return
    tie = {(False, True): "i", (True, True): "m", (True, False): "t"}.get((note.tied_in, note.tied_on))
    written = {XML_ID: note.id, **_pitch(note.note), **_value(note.value), "stem.dir": "down"}
    if tie:
        written["tie"] = tie
    articulations = dict.fromkeys(_ARTICULATIONS[each] for each in note.source.decorations if each in _ARTICULATIONS)
    if articulations and not note.tied_in:
        written["artic"] = " ".join(articulations)
    SubElement(parent, "note", written)


def _add_graces(parent: Element, note: StaffNote) -> None:
    """Write the gracenotes onto a note: a single one by itself, several under a beam of their own."""
    graces = note.graces
    if not graces:
        return
    group = SubElement(parent, "graceGrp", attach="post")
    holder = SubElement(group, "beam") if len(graces) > 1 else group
    # MEI's "unacc" takes its time from the note before and is drawn with a slash, as an acciaccatura is.
    kind = "unacc" if note.source.acciaccatura else "acc"
    for grace in graces:
        SubElement(holder, "note", {**_grace(grace), "grace": kind})


def _grace(grace: StaffGrace) -> dict[str, str]:
    return {XML_ID: grace.id, **_pitch(grace.note), **_value(grace.value), "stem.dir": "up"}


def _pitch(note: Note) -> dict[str, str]:
    name, octave = _PITCHES[note]
    return {"pname": name, "oct": octave, **({"accid.ges": "s"} if note in _SHARP else {})}


def _value(value: NoteValue) -> dict[str, str]:
    return {"dur": str(value.base) if value.base else "breve", **({"dots": str(value.dots)} if value.dots else {})}
