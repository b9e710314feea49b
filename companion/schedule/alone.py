"""One note or gracenote of a schedule by itself, to be heard alone."""

from __future__ import annotations

from dataclasses import replace

from companion.schedule.events import Event, EventKind, Schedule, TimedState

REST_S = 0.45
"""Silence behind it, so that a gracenote that is repeated is heard as one, again and again, and not as a trill."""


def event_alone(schedule: Schedule, index: int) -> Schedule:
    """The event of that index by itself, at 0 s and as long as it is there, with a rest behind it."""
    event = schedule.events[index]
    length_s = event.end_s - event.start_s
    sounding = replace(event, start_s=0.0, end_s=length_s, played=0)
    rest = Event(length_s, length_s + REST_S, EventKind.REST, event.note, event.state, 0)
    return Schedule(
        played=(schedule.played[event.played],),
        embellishments=(None,),
        events=(sounding, rest),
        states=(TimedState(0.0, event.state, event.note, event.kind, 0),),
        beats=(),
        note_onsets_s=(0.0,),
        duration_s=length_s + REST_S,
    )
