"""Makes a schedule of what was played, rather than of what is asked, so that a player can sound it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from companion.schedule.events import Beat, Event, EventKind, Schedule, TimedState
from fingering.holes import HoleState
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class PlayedState:
    """What was played from `at_s` on: the hole state, and the note that sounds, None for silence."""

    at_s: float
    state: HoleState
    note: Note | None


def recorded_schedule(
    played: Iterable[PlayedState], beats: Iterable[Beat], begin_s: float, end_s: float, slow_down: float
) -> Schedule:
    """The schedule of what was played from begin_s to end_s, `slow_down` times slower; begin_s becomes 0 s.

    It has no written notes and no embellishments, and its events refer to none.
    """

    def moved(at_s: float) -> float:
        return (min(max(at_s, begin_s), end_s) - begin_s) * slow_down

    bounds = [*(each for each in played if each.at_s < end_s), PlayedState(end_s, HoleState(0), None)]
    silence = Event(0.0, max(moved(bounds[0].at_s), 0.001), EventKind.REST, Note.LOW_A, bounds[0].state, 0)
    events = [silence]
    for one, after in pairwise(bounds):
        start_s, stop_s = moved(one.at_s), moved(after.at_s)
        kind = EventKind.REST if one.note is None else EventKind.MELODY
        if stop_s > start_s:
            events.append(Event(start_s, stop_s, kind, one.note or Note.LOW_A, one.state, len(events)))
    return Schedule(
        played=(),
        embellishments=(),
        events=tuple(events),
        states=tuple(TimedState(e.start_s, e.state, e.note, e.kind, rank) for rank, e in enumerate(events)),
        beats=tuple(Beat(moved(b.at_s), b.first, b.turn) for b in beats if begin_s <= b.at_s < end_s),
        note_onsets_s=(),
        duration_s=moved(end_s),
    )
