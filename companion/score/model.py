"""A tune as frozen data.

Durations are fractions of a whole note. Bars, parts and phrases refer to each other by index into `Tune.bars`; a note's
identity is `MelodyNote.rank`, its rank in written order, which a staff or a take can point at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import NamedTuple

from companion.score.place import Place
from companion.score.problems import Problem
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Meter:
    """A metre: `beats` of 1/`unit` each; `text` is how it was written ("C|", "2+3/8"). `beats` 0 is a free metre."""

    beats: int
    unit: int
    text: str

    @property
    def bar_length(self) -> Fraction | None:
        """Length of a full bar, None in a free metre."""
        return Fraction(self.beats, self.unit) if self.beats else None

    @property
    def beat_length(self) -> Fraction:
        """The length of the beat that a piper counts, as a fraction of a whole note.

        A dotted crotchet in 6/8, 9/8 and 12/8, a minim in C| and 2/2, else one written unit.
        """
        if not self.beats:
            return Fraction(1, 4)
        if self.unit >= 8 and self.beats % 3 == 0 and self.beats > 3:
            return Fraction(3, self.unit)
        return Fraction(1, self.unit)


FREE = Meter(0, 4, "none")
COMMON_TIME = Meter(4, 4, "C")


@dataclass(frozen=True, slots=True)
class Tempo:
    """`beats_per_minute` beats, each `beat` of a whole note long; `text` is any word that stood beside it."""

    beat: Fraction
    beats_per_minute: float
    text: str = ""

    @property
    def whole_notes_per_second(self) -> float:
        """The tempo as whole notes a second."""
        return float(self.beat) * self.beats_per_minute / 60.0


_ONE = Fraction(1)


class MelodyNote(NamedTuple):
    """A melody note with the gracenotes that lead onto it, or a rest (`note` is None). Tied notes are one note.

    rank: its place in written order, from 0. grace_lengths: the length of each gracenote relative to the others of its
    group; empty where none is written, so that all are alike. grace_offsets: where each stands before the note, as
    lines up and columns left.

    A named tuple rather than a dataclass, and offsets rather than places, for speed: reading a book is making these,
    and notes that are spelled alike can share what belongs to their gracenotes.
    """

    rank: int
    note: Note | None
    duration: Fraction
    gracenotes: tuple[Note, ...]
    place: Place
    chord: str = ""
    annotations: tuple[str, ...] = ()
    decorations: tuple[str, ...] = ()
    acciaccatura: bool = False
    grace_lengths: tuple[Fraction, ...] = ()
    grace_offsets: tuple[tuple[int, int], ...] = ()

    def lengths_of_gracenotes(self) -> tuple[Fraction, ...]:
        """The length of each gracenote relative to the others of its group."""
        return self.grace_lengths or (_ONE,) * len(self.gracenotes)

    def grace_place(self, i: int) -> Place:
        """The place of gracenote `i` in the file."""
        lines, columns = self.grace_offsets[i] if self.grace_offsets else (0, 0)
        source, line, column = self.place
        return Place(source, line - lines, column - columns)


# The same from a tuple of its parts, in less time than by name.
melody_note_of = partial(tuple.__new__, MelodyNote)


class BarSigns(NamedTuple):
    """What stands at the two ends of a written bar; `Tune.order` says what becomes of it when the tune is played.

    At its left: `label` of the part that begins here, None where none does; `opens`, how often a repeat that starts
    here is played (0: none starts); `ending`, the repetitions on which the bar is played (empty: all, or those of the
    bar before). At its right: `closes`, how often the stretch that is repeated here is played (0: no repeat);
    `double`, a double or thick bar line; `ends_ending`, a bracket that closes an ending; `jumps`, the names of marks
    that send the player elsewhere ("fine", "D.C."). `counts_for`: how many bars a rest of several stands for.
    """

    label: str | None = None
    opens: int = 0
    ending: tuple[int, ...] = ()
    closes: int = 0
    double: bool = False
    ends_ending: bool = False
    jumps: tuple[str, ...] = ()
    counts_for: int = 1


PLAIN_SIGNS = BarSigns()


class Bar(NamedTuple):
    """What stands between two bar lines. `number` counts written bars from 1; an opening pick-up is 0.

    A rest of several bars is one bar here, and the number of the bar after it takes them all into account. `tempo` is
    the tempo in force where the bar begins, if any was given. `length` is the written length before ties were joined.
    `ends_phrase` is set where the writer marked a phrase's end after this bar. `signs` is how repeats are written.
    """

    number: int
    notes: tuple[MelodyNote, ...]
    meter: Meter
    length: Fraction
    place: Place
    tempo: Tempo | None = None
    ends_phrase: bool = False
    signs: BarSigns = PLAIN_SIGNS


@dataclass(frozen=True, slots=True)
class Phrase:
    """Bars first to stop - 1. Phrases that are played alike share `letter` ("a", "b", ...)."""

    first: int
    stop: int
    letter: str


@dataclass(frozen=True, slots=True)
class Part:
    """A part: bars first to stop - 1, its `label` ("A" from P:, else "1", "2", ...) and its phrases."""

    label: str
    first: int
    stop: int
    phrases: tuple[Phrase, ...]


class Field(NamedTuple):
    """A header field that is kept but not interpreted."""

    key: str
    text: str
    place: Place


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune. `order` lists bar indices in the order they are played, repeats, endings and the part plan unfolded.

    `fits`: how many semitones higher the tune would have to be read for all its notes to be on the chanter; None where
    they are already, or where no shift brings them there. `plan`: the order of labelled parts as the header states it
    ("AABA", "(AB)2"), empty where it states none.
    """

    reference: str
    title: str
    meter: Meter
    bars: tuple[Bar, ...]
    order: tuple[int, ...]
    parts: tuple[Part, ...]
    place: Place
    rhythm: str = ""
    composer: str = ""
    key: str = "HP"
    tempo: Tempo | None = None
    fields: tuple[Field, ...] = ()
    fits: int | None = None
    plan: str = ""

    @property
    def notes(self) -> tuple[MelodyNote, ...]:
        """All notes in written order; `notes[i].rank == i`."""
        return tuple(note for bar in self.bars for note in bar.notes)

    def part_of(self, bar: int) -> int:
        """The index in `parts` of the part that the bar of that index belongs to."""
        return next((rank for rank, part in enumerate(self.parts) if part.first <= bar < part.stop), 0)


@dataclass(frozen=True, slots=True)
class Tunebook:
    """What a file holds: its tunes, and every problem met while reading.

    around: problems that belong to no tune. told: the problems of each tune, in the order of `tunes`; a tune with
    errors holds what can still be played.
    """

    source: str
    tunes: tuple[Tune, ...]
    around: tuple[Problem, ...] = ()
    told: tuple[tuple[Problem, ...], ...] = ()

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All problems sorted by place; those of a file header, which every tune meets, once."""
        every = dict.fromkeys((*self.around, *(problem for each in self.told for problem in each)))
        return tuple(sorted(every, key=lambda problem: problem.place))

    def problems_of(self, tune: Tune) -> tuple[Problem, ...]:
        """The problems of one tune of the book."""
        return next((told for each, told in self.with_problems() if each is tune), ())

    def with_problems(self) -> Iterator[tuple[Tune, tuple[Problem, ...]]]:
        """Each tune with its problems."""
        return zip(self.tunes, self.told, strict=True)
