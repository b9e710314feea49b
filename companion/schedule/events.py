"""The data of a schedule: events, hole states and beats. Times are seconds from its start, slow-down included."""

from __future__ import annotations

import enum
from bisect import bisect_right
from dataclasses import dataclass

from companion.schedule.bars import Accent, TimedBar
from companion.score.performance import PlayedNote
from fingering.embellishments import Embellishment
from fingering.holes import HoleState
from fingering.notes import Note


class EventKind(enum.Enum):
    """What sounds in an event: a melody note, a gracenote, a finger on its way between two of them, or a rest."""

    MELODY = "melody"
    GRACENOTE = "gracenote"
    MOVING = "moving"
    REST = "rest"


@dataclass(frozen=True, slots=True)
class Event:
    """One melody note, gracenote or rest. `played` indexes `Schedule.played`; `grace`: a gracenote's rank in its group.

    `note` and `state` of a rest are those of the note before it, since the fingers stay.
    """

    start_s: float
    end_s: float
    kind: EventKind
    note: Note
    state: HoleState
    played: int
    grace: int | None = None


@dataclass(frozen=True, slots=True)
class TimedState:
    """A hole state that holds from `at_s` to the next one's; `event` indexes the `Schedule.events` that it leads to."""

    at_s: float
    state: HoleState
    sounds: Note
    kind: EventKind
    event: int


@dataclass(frozen=True, slots=True)
class Beat:
    """A beat of the metre; `first` marks the first of a bar, `turn` is the bar's index in the tune's order."""

    at_s: float
    first: bool
    turn: int

    @property
    def accent(self) -> Accent:
        """How strong its tick is."""
        return Accent.BAR if self.first else Accent.BEAT


@dataclass(frozen=True, slots=True)
class Schedule:
    """A performance in time: events and states in order, beats, and the embellishment of each played note.

    bars: those of the tune, as played; empty where what is performed is no tune, but a take or a single movement.
    """

    played: tuple[PlayedNote, ...]
    embellishments: tuple[Embellishment | None, ...]
    events: tuple[Event, ...]
    states: tuple[TimedState, ...]
    beats: tuple[Beat, ...]
    note_onsets_s: tuple[float, ...]
    duration_s: float
    bars: tuple[TimedBar, ...] = ()

    def state_index_at(self, time_s: float) -> int:
        """Index of the state in force at `time_s`; the first one before the start."""
        return max(0, bisect_right(self.states, time_s, key=lambda state: state.at_s) - 1)

    def event_index_at(self, time_s: float) -> int:
        """Index of the event in force at `time_s`; the first one before the start."""
        return max(0, bisect_right(self.events, time_s, key=lambda event: event.start_s) - 1)
