"""A bar on the staff as frozen data: what MEI, MusicXML, ABC and a picture are written from."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from companion.score.model import Bar, MelodyNote
from companion.score.staff.values import NoteValue
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class TupletRatio:
    """`actual` notes in the time of `normal`: 3 and 2 for a triplet."""

    actual: int
    normal: int


@dataclass(frozen=True, slots=True)
class StaffGrace:
    """A gracenote on the staff: its note, its `id`, and its value (a demisemiquaver unless lengths were written)."""

    note: Note
    id: str
    value: NoteValue


@dataclass(frozen=True, slots=True)
class StaffNote:
    """One written note, or a rest (`note` is None), in a bar.

    source: the note of the tune that it is or is a piece of. id: "n12" for the note of rank 12, "n12-2" for the second
    of tied pieces. offset: where it begins, from the bar's beginning, as a fraction of a whole note. length: how long
    it sounds; `value` is how it is written, longer than that within a tuplet. tied_on: whether a tie leads to the next
    piece; tied_in: whether one leads here. graces: only of the first piece.
    """

    source: MelodyNote
    id: str
    offset: Fraction
    length: Fraction
    value: NoteValue
    tied_in: bool = False
    tied_on: bool = False
    graces: tuple[StaffGrace, ...] = ()

    @property
    def note(self) -> Note | None:
        """The note of the chanter; None for a rest."""
        return self.source.note


@dataclass(frozen=True, slots=True)
class StaffBeam:
    """Notes under one beam."""

    notes: tuple[StaffNote, ...]


@dataclass(frozen=True, slots=True)
class StaffTuplet:
    """Notes of a tuplet, single or under beams."""

    ratio: TupletRatio
    items: tuple[StaffNote | StaffBeam, ...]


StaffItem = StaffNote | StaffBeam | StaffTuplet


@dataclass(frozen=True, slots=True)
class StaffBar:
    """A bar on the staff: `id` is "b3" for the bar of index 3; `items` hold its notes in order.

    pick_up: whether it is shorter than its metre and leads into the bar that follows. bar: the bar of the tune.
    """

    id: str
    index: int
    bar: Bar
    items: tuple[StaffItem, ...]
    pick_up: bool

    @property
    def notes(self) -> tuple[StaffNote, ...]:
        """All its notes in order."""
        return tuple(note for item in self.items for note in notes_of(item))


def notes_of(item: StaffItem) -> tuple[StaffNote, ...]:
    """The notes of an item in order."""
    if isinstance(item, StaffNote):
        return (item,)
    if isinstance(item, StaffBeam):
        return item.notes
    return tuple(note for each in item.items for note in notes_of(each))


def note_id(rank: int, piece: int = 0) -> str:
    """The id of a melody note, or of a further tied piece of it, counted from 1."""
    return f"n{rank}-{piece + 1}" if piece else f"n{rank}"


def grace_id(rank: int, i: int) -> str:
    """The id of gracenote `i`, counted from 0, of the melody note with that rank."""
    return f"g{rank}-{i}"


def bar_id(index: int) -> str:
    """The id of the bar at an index of `Tune.bars`."""
    return f"b{index}"
