"""What was asked laid over what was played: both as hole states in the take's own time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.listen.judgement import Judgement
from companion.listen.played import Fingered, Played
from companion.schedule.events import Event, Kind
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note

BRIEF_S = 0.11
"""A note shorter than this was fingered as a gracenote of the next, as far as can be told from notes."""


@dataclass(frozen=True, slots=True)
class Span:
    """The holes were in `state` from `start_s` to `end_s`; `letter` is a melody note's where it begins, else ""."""

    start_s: float
    end_s: float
    state: HoleState
    letter: str = ""


def asked_spans(judgement: Judgement) -> list[Span]:
    """What was asked, moved to when its melody notes were heard; what was never reached is not there."""
    spans: list[Span] = []
    onsets = judgement.asked.schedule.note_onsets_s
    for stretch in _stretches(judgement.places):
        if len(stretch) < 2:
            continue
        marks = [(onsets[played], at_s) for played, at_s in stretch]
        for event in judgement.asked.schedule.events:
            if stretch[0][0] <= event.played < stretch[-1][0] and event.kind is not Kind.REST:
                spans.append(_moved(event, marks))
    return spans


def _stretches(places: Sequence[tuple[int, float]]) -> list[list[tuple[int, float]]]:
    """Places in rows that go forward; beginning again begins a new row."""
    rows: list[list[tuple[int, float]]] = []
    for place in places:
        if rows and rows[-1][-1][0] < place[0]:
            rows[-1].append(place)
        else:
            rows.append([place])
    return rows


def _moved(event: Event, marks: Sequence[tuple[float, float]]) -> Span:
    letter = event.note.letter if event.kind is Kind.MELODY else ""
    return Span(_warped(event.start_s, marks), _warped(event.end_s, marks), event.state, letter)


def _warped(asked_s: float, marks: Sequence[tuple[float, float]]) -> float:
    """Asked time as take time, straight between the melody notes heard on both sides."""
    for (left, left_s), (right, right_s) in pairwise(marks):
        if asked_s <= right or (right, right_s) == marks[-1]:
            return left_s + (asked_s - left) * (right_s - left_s) / (right - left)
    return marks[0][1]


def played_spans(events: Sequence[Played]) -> list[Span]:
    """What was played; where only notes were told, with the fingers that the chart has for them."""
    spans: list[Span] = []
    for rank, (event, following) in enumerate(pairwise(events)):
        state = event.state if isinstance(event, Fingered) else _fingered(events, rank, event.note)
        if state is not None and following.at_s > event.at_s:
            spans.append(Span(event.at_s, following.at_s, state))
    return spans


def _fingered(events: Sequence[Played], rank: int, note: Note | None) -> HoleState | None:
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
