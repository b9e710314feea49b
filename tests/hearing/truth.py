"""What sounds in a take and when: the truth that a recording of it is made from, and that a hearing is held against."""

from __future__ import annotations

import enum
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from fingering.acoustics.sounding import soundings
from fingering.chart import chart, sounded
from fingering.holes import HoleState
from fingering.notes import Note

MELODY_S = 0.080
SHORTEST_S = 0.030
"""From which length on a note counts as melody, and as a note at all; as the measures were asked for, no source."""

HALFWAY_CENTS = 15.0
"""A pitch this near to the middle between two notes may be named by either."""

HeardEvent = tuple[float, float, Note]
"""What a hearing tells: when a note begins and stops (s from the first sample), and which it is."""


class NoteClass(enum.Enum):
    """How a note is counted. MELODY: 80 ms and longer. GRACENOTE: 30 to 80 ms. FOREIGN: the noise of a crossing, 30 ms
    and longer. PASSING: anything shorter, which may be heard or not."""

    MELODY = "melody"
    GRACENOTE = "gracenote"
    FOREIGN = "foreign"
    PASSING = "passing"


@dataclass(frozen=True, slots=True)
class SoundingState:
    """One hole state that sounds from `onset_s` to `stop_s`. foreign: whether it is the noise of a crossing."""

    onset_s: float
    stop_s: float
    state: HoleState
    foreign: bool = False


@dataclass(frozen=True, slots=True)
class TrueNote:
    """One note of the truth. accepted: the notes that it may be heard as, `note` among them.

    Where a state lies halfway between two notes, as a G gracenote onto a low note does, either name is right.
    """

    onset_s: float
    stop_s: float
    note: Note
    counted: NoteClass
    accepted: frozenset[Note]

    @property
    def length_s(self) -> float:
        """How long it sounds."""
        return self.stop_s - self.onset_s


def true_notes(segments: Sequence[SoundingState]) -> tuple[TrueNote, ...]:
    """The notes of what sounds: states in a row that sound one note are one, but where silence parts them."""
    return tuple(_named(group) for group in _joined(segments))


def _joined(segments: Sequence[SoundingState]) -> Iterator[list[SoundingState]]:
    group: list[SoundingState] = []
    for each in segments:
        goes_on = group and each.onset_s - group[-1].stop_s < 1e-6 and sounded(each.state) is sounded(group[-1].state)
        if group and not goes_on:
            yield group
            group = []
        group.append(each)
    if group:
        yield group


def _named(group: list[SoundingState]) -> TrueNote:
    onset_s, stop_s = group[0].onset_s, group[-1].stop_s
    accepted = frozenset[Note]().union(*(names_of(each.state) for each in group))
    foreign = all(each.foreign for each in group)
    return TrueNote(onset_s, stop_s, sounded(group[0].state), _counted(stop_s - onset_s, foreign=foreign), accepted)


def _counted(length_s: float, *, foreign: bool) -> NoteClass:
    if length_s < SHORTEST_S:
        return NoteClass.PASSING
    if foreign:
        return NoteClass.FOREIGN
    return NoteClass.MELODY if length_s >= MELODY_S else NoteClass.GRACENOTE


@cache
def names_of(state: HoleState) -> frozenset[Note]:
    """The notes that a hole state may be heard as: by its topmost open hole, or by the nearest pitch.

    The pitch is the acoustic model's: see fingering.acoustics.sounding.
    """
    table = soundings()
    note = sounded(state)
    of_chart = {each: table[chart(each)].cents for each in Note}
    away = {each: abs(cents - table[state].cents) for each, cents in of_chart.items()}
    nearest = min(away.values())
    return frozenset({note, *(each for each, cents in away.items() if cents - nearest <= 2.0 * HALFWAY_CENTS)})


def moved(segments: Sequence[SoundingState], by_s: float) -> tuple[SoundingState, ...]:
    """What sounds, later by `by_s` seconds."""
    return tuple(replace(each, onset_s=each.onset_s + by_s, stop_s=each.stop_s + by_s) for each in segments)
