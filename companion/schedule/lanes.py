"""Turns timed hole states into finger lanes: when each hole is closed, and which stretches are gracenotes."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from companion.schedule.events import EventKind, Schedule, TimedState
from fingering.holes import Finger


@dataclass(frozen=True, slots=True)
class FingerStretch:
    """One finger closed, or open, from start_s to end_s. `brief`: whether it lies within one group of gracenotes."""

    start_s: float
    end_s: float
    closed: bool
    brief: bool


@dataclass(frozen=True, slots=True)
class Lane:
    """All of one finger's stretches, in order and without gaps."""

    finger: Finger
    stretches: tuple[FingerStretch, ...]

    def between(self, start_s: float, end_s: float) -> tuple[FingerStretch, ...]:
        """The stretches that overlap the time from start_s to end_s."""
        first = bisect_right(self.stretches, start_s, key=lambda each: each.end_s)
        stop = bisect_left(self.stretches, end_s, key=lambda each: each.start_s)
        return self.stretches[first:stop]

    def index_at(self, time_s: float) -> int:
        """Index of the stretch in force at `time_s`."""
        return max(0, bisect_right(self.stretches, time_s, key=lambda each: each.start_s) - 1)


def finger_lanes(schedule: Schedule) -> tuple[Lane, ...]:
    """The lanes of a schedule, one a finger, thumb first."""
    return tuple(Lane(finger, tuple(_stretches(schedule, finger))) for finger in Finger)


def _stretches(schedule: Schedule, finger: Finger) -> Iterator[FingerStretch]:
    changes = _changes(schedule.states, finger)
    bounds = [*((state.at_s, state) for state in changes), (schedule.duration_s, None)]
    for (start_s, opening), (end_s, ending) in pairwise(bounds):
        if opening is not None and end_s > start_s:
            brief = ending is not None and _same_group(schedule, opening, ending)
            yield FingerStretch(start_s, end_s, opening.state.closed(finger), brief)


def _changes(states: tuple[TimedState, ...], finger: Finger) -> list[TimedState]:
    moved = (new for old, new in pairwise(states) if old.state.closed(finger) != new.state.closed(finger))
    return [*states[:1], *moved]


def _same_group(schedule: Schedule, opening: TimedState, ending: TimedState) -> bool:
    first, last = schedule.events[opening.event], schedule.events[ending.event]
    return first.kind is EventKind.GRACENOTE and first.played == last.played
