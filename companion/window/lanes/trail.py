"""`Trail`: keeps what was played in as hole states in time, for as long as it is in sight."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from companion.listen.model.played import Fingered, Played
from companion.schedule.lanes import FingerStretch, Lane
from fingering.chart import chart, sounded
from fingering.holes import NONE_CLOSED, Finger, HoleState
from fingering.notes import Note

FINEST_S = 0.002
"""Changes that follow each other sooner than this are drawn as one: less than a pixel at full speed."""


@dataclass(frozen=True, slots=True)
class Moment:
    """From `at_s` on the holes are in `state` and `note` sounds; None is silence, in which the fingers stay."""

    at_s: float
    state: HoleState = NONE_CLOSED
    note: Note | None = None


REST = Moment(float("-inf"))


def moment_after(before: Moment, played: Played) -> Moment:
    """The moment that an event leads to. Where only the note is told, the holes are those of the chart."""
    if isinstance(played, Fingered):
        return Moment(played.at_s, played.state, sounded(played.state))
    if played.note is None:
        return replace(before, at_s=played.at_s, note=None)
    return Moment(played.at_s, chart(played.note), played.note)


def moments_of(events: Iterable[Played]) -> Iterator[Moment]:
    """Yield the moments of a sequence of events."""
    moment = REST
    for played in events:
        moment = moment_after(moment, played)
        yield moment


class Trail:
    """Moments in order of time, forgotten `keep_s` seconds after the latest."""

    def __init__(self, keep_s: float) -> None:
        self._keep_s = keep_s
        self._moments: list[Moment] = []

    def add(self, moment: Moment) -> None:
        """Add the latest moment; one that arrives late counts from the time of the moment before it."""
        last = self._moments[-1] if self._moments else REST
        if moment.at_s < last.at_s + FINEST_S:
            self._moments[-1] = replace(moment, at_s=last.at_s)
        else:
            self._moments.append(moment)
        if moment.at_s - self._moments[0].at_s > 2 * self._keep_s:
            self._moments = self._moments[self._index_at(moment.at_s - self._keep_s) :]

    def cut(self, at_s: float) -> None:
        """Forget all from `at_s` on."""
        del self._moments[bisect_left(self._moments, at_s, key=lambda each: each.at_s) :]

    def between(self, first_s: float, last_s: float) -> tuple[Moment, ...]:
        """The moments that hold at any time from first_s to last_s."""
        stop = bisect_right(self._moments, last_s, key=lambda each: each.at_s)
        return tuple(self._moments[self._index_at(first_s) : stop])

    def _index_at(self, at_s: float) -> int:
        return max(0, bisect_right(self._moments, at_s, key=lambda each: each.at_s) - 1)


def lanes_of(moments: Sequence[Moment], end_s: float) -> tuple[Lane, ...]:
    """The finger lanes up to `end_s`, thumb first; before the first moment the fingers are as they are in it."""
    return tuple(Lane(finger, tuple(_stretches(moments, end_s, finger))) for finger in Finger)


def _stretches(moments: Sequence[Moment], end_s: float, finger: Finger) -> Iterator[FingerStretch]:
    first = moments[0] if moments else REST
    start_s, closed = first.at_s, first.state.closed(finger)
    for moment in moments[1:]:
        if moment.state.closed(finger) != closed:
            yield FingerStretch(start_s, moment.at_s, closed, brief=False)
            start_s, closed = moment.at_s, not closed
    yield FingerStretch(start_s, max(end_s, start_s), closed, brief=False)


def sounding_runs(moments: Sequence[Moment], end_s: float, finger: Finger) -> Iterator[tuple[float, float]]:
    """Yield the (begin, end) of each time in which a finger closed its hole while something sounded."""
    start_s: float | None = None
    for moment in moments:
        closed = moment.note is not None and moment.state.closed(finger)
        if closed and start_s is None:
            start_s = moment.at_s
        elif not closed and start_s is not None:
            yield start_s, moment.at_s
            start_s = None
    if start_s is not None and end_s > start_s:
        yield start_s, end_s
