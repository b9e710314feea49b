"""What was asked laid over what was played: both as hole states in the take's own time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.listen.model.played import Fingered, Played
from companion.schedule.events import EventKind, Schedule
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note

BRIEF_S = 0.11
"""A note shorter than this was fingered as a gracenote of the next, as far as can be told from notes."""


@dataclass(frozen=True, slots=True)
class StateSpan:
    """The holes were in `state` from `start_s` to `end_s`."""

    start_s: float
    end_s: float
    state: HoleState


def asked_spans(heard: Schedule) -> list[StateSpan]:
    """What was asked, of a schedule as it was heard; nothing in rests, and where its notes were not reached."""
    spans: list[StateSpan] = []
    ends_s = [*(state.at_s for state in heard.states[1:]), heard.duration_s]
    for state, end_s in zip(heard.states, ends_s, strict=False):
        event = heard.events[state.event]
        until_s = min(end_s, event.end_s)
        if event.kind is not EventKind.REST and until_s > state.at_s:
            spans.append(StateSpan(state.at_s, until_s, state.state))
    return spans


def played_spans(events: Sequence[Played]) -> list[StateSpan]:
    """What was played; where only notes were told, with the fingers that they were likely played with."""
    spans: list[StateSpan] = []
    for rank, (event, following) in enumerate(pairwise(events)):
        state = event.state if isinstance(event, Fingered) else _fingered(events, rank, event.note)
        if state is not None and following.at_s > event.at_s:
            spans.append(StateSpan(event.at_s, following.at_s, state))
    return spans


def _fingered(events: Sequence[Played], rank: int, note: Note | None) -> HoleState | None:
    """The chart's fingers for a note; for a brief one those of a gracenote onto what follows it."""
    if note is None:
        return None
    brief = [note]
    for event, following in pairwise(events[rank:]):
        if isinstance(following, Fingered) or following.note is None:
            break
        if following.at_s - event.at_s > BRIEF_S:
            break
        brief.append(following.note)
    *graces, melody = brief
    return gracenote_states(graces, melody)[0] if graces else chart(melody)
