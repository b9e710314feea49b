"""Moves a schedule to the times at which a learner played its notes; what was begun again comes again."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median

from companion.schedule.events import Beat, Event, EventKind, Schedule, TimedState

AROUND = 4
"""A note's place is smoothed over so many notes on both sides of it: one that came late is then seen to be late."""

HeardPlace = tuple[int, float]
"""A played note of the schedule, and when it was heard, in s."""


def schedule_as_heard(schedule: Schedule, places: Sequence[HeardPlace]) -> Schedule:
    """The schedule in the time of a take whose notes were heard at `places`, without what was never reached.

    Its events refer to the same played notes; it has no `note_onsets_s` and no `bars`, since a note or a
    bar may come more than once.
    """
    rows = _rows(schedule, places)
    events: list[Event] = []
    states: list[TimedState] = []
    beats: list[Beat] = []
    for row, after in zip(rows, [*rows[1:], None], strict=True):
        end_s = after.begin_s if after else row.end_s
        beats += (replace(each, at_s=row.move(each.at_s)) for each in row.beats() if row.move(each.at_s) < end_s)
        moved = {index: event for index, event in row.events() if event.start_s < end_s}
        renamed = {index: len(events) + rank for rank, index in enumerate(moved)}
        events += (replace(each, end_s=min(each.end_s, end_s)) for each in moved.values())
        for state in schedule.states:
            if state.event in renamed and (at_s := max(row.begin_s, row.move(state.at_s))) < end_s:
                states.append(replace(state, at_s=at_s, event=renamed[state.event]))
    duration_s = events[-1].end_s if events else 0.0
    return replace(
        schedule,
        events=tuple(events),
        states=tuple(states),
        beats=tuple(beats),
        note_onsets_s=(),
        duration_s=duration_s,
        bars=(),
    )


@dataclass(frozen=True, slots=True)
class _Row:
    """Notes heard one after the other without a leap: the first, the last, and the map from schedule to take time."""

    schedule: Schedule
    first: int
    last: int
    move: Callable[[float], float]

    @property
    def begin_s(self) -> float:
        """When its first event begins, in the time of the take."""
        return next(event.start_s for _, event in self.events())

    @property
    def end_s(self) -> float:
        """When its last event ends, in the time of the take."""
        return [event.end_s for _, event in self.events()][-1]

    def events(self) -> Iterator[tuple[int, Event]]:
        """Yield its events in the time of the take, each with its index in the schedule."""
        for index, event in enumerate(self.schedule.events):
            if self.first <= event.played <= self.last:
                yield index, replace(event, start_s=self.move(event.start_s), end_s=self.move(event.end_s))

    def beats(self) -> Iterator[Beat]:
        """Yield the beats of its bars, without those before its first note and after its last one."""
        onsets = self.schedule.note_onsets_s
        stop_s = onsets[self.last + 1] if self.last + 1 < len(onsets) else self.schedule.duration_s
        return (beat for beat in self.schedule.beats if onsets[self.first] <= beat.at_s < stop_s)


def _rows(schedule: Schedule, places: Sequence[HeardPlace]) -> list[_Row]:
    starts = {event.played: event.start_s for event in schedule.events if event.kind is EventKind.MELODY}
    forward: list[list[HeardPlace]] = []
    for place in places:
        if place[0] not in starts:
            continue
        if forward and forward[-1][-1][0] < place[0]:
            forward[-1].append(place)
        else:
            forward.append([place])
    marked = [[(starts[played], at_s) for played, at_s in row] for row in forward]
    usual = _pace([pair for row in marked for pair in pairwise(row)], 1.0)
    return [
        _Row(schedule, row[0][0], row[-1][0], _mover(marks, usual)) for row, marks in zip(forward, marked, strict=True)
    ]


def _pace(steps: Sequence[tuple[tuple[float, float], tuple[float, float]]], otherwise: float) -> float:
    """Seconds of the take for each second of the schedule; `otherwise` where there is nothing to tell it by."""
    slopes = [(two_s - one_s) / (two - one) for (one, one_s), (two, two_s) in steps if two > one and two_s > one_s]
    return median(slopes) if slopes else otherwise


def _mover(marks: Sequence[tuple[float, float]], usual: float) -> Callable[[float], float]:
    """The map from schedule time to take time: linear between notes, each at the place its neighbours suggest."""
    pace = _pace(list(zip(marks, marks[AROUND:], strict=False)), usual)
    asked = [at for at, _ in marks]
    heard: list[float] = []
    for rank, at in enumerate(asked):
        near = marks[max(0, rank - AROUND) : rank + AROUND + 1]
        place_s = median(other_s + (at - other) * pace for other, other_s in near)
        heard.append(max(place_s, heard[-1] + 1e-3) if heard else place_s)

    def move(time_s: float) -> float:
        rank = bisect_right(asked, time_s) - 1
        if rank < 0:
            return heard[0] + (time_s - asked[0]) * pace
        if rank == len(asked) - 1:
            return heard[-1] + (time_s - asked[-1]) * pace
        share = (time_s - asked[rank]) / (asked[rank + 1] - asked[rank])
        return heard[rank] + share * (heard[rank + 1] - heard[rank])

    return move
