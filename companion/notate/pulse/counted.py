"""A reading of a take in ticks: where each note of melody begins and ends, counted from the foot it began in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.notate.pulse.approached import Approached
from companion.notate.pulse.feet import TICKS, FootHabits, FootKind
from companion.notate.pulse.search import PulseReading
from companion.notate.pulse.sounds import SoundingNote
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class CountedNote:
    """A note of melody, with its gracenotes: when it begins and how long it is, in ticks of a foot; how far off the
    pulse it was played, in s, and how long its foot was.

    played_graces: the gracenotes that were played, where others are written. noises: the crossing noises that were
    heard before it and are not written. Of a sound: heard_otherwise are the gracenotes that there may have been as
    well, none among them; others the notes that it may have been.
    """

    note: Note
    graces: tuple[Note, ...]
    start: int
    length: int
    off_s: float = 0.0
    foot_s: float = 1.0
    played_graces: tuple[Note, ...] | None = None
    noises: tuple[Note, ...] = ()
    heard_otherwise: tuple[tuple[Note, ...], ...] = ()
    others: frozenset[Note] = frozenset()

    @property
    def end(self) -> int:
        """The tick at which it ends."""
        return self.start + self.length

    @property
    def sound(self) -> tuple[Note, tuple[Note, ...]]:
        """What it sounds, without its time."""
        return self.note, self.graces


@dataclass(frozen=True, slots=True)
class CountedTake:
    """The notes of a take, in feet of one kind."""

    kind: FootKind
    notes: tuple[CountedNote, ...]

    @property
    def feet(self) -> int:
        """How many feet it has, begun ones too."""
        return -(-self.notes[-1].end // TICKS)


def counted(reading: PulseReading, habits: FootHabits, notes: Sequence[SoundingNote]) -> CountedTake:
    """Count the notes of a reading."""
    found = [
        CountedNote(
            notes[each.approached.at].note,
            _graces(each.approached, notes),
            each.foot * TICKS + each.place,
            each.length,
            each.off_s,
            each.foot_s,
            noises=tuple(notes[noise].note for noise in each.approached.noises),
            heard_otherwise=each.approached.otherwise,
            others=notes[each.approached.at].others,
        )
        for each in reading.notes
    ]
    last = reading.notes[-1]
    feet = (notes[last.approached.at].end_s - last.due_s) / last.foot_s
    found[-1] = replace(found[-1], length=_last_length(habits, last.place, feet * TICKS))
    return CountedTake(habits.kind, tuple(found))


def _graces(way: Approached, notes: Sequence[SoundingNote]) -> tuple[Note, ...]:
    return tuple(notes[grace].note for grace in way.graces) if way.spelt is None else way.spelt


def _last_length(habits: FootHabits, place: int, ticks: float) -> int:
    """The length of the last note: it may be held on, or let go too soon; it ends where a foot does."""
    lengths = [length for at, length in habits.steps if at == place and (at + length) % TICKS == 0]
    return min(lengths, key=lambda length: abs(length - ticks))
