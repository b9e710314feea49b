"""Cuts a take into lines for the page: a few seconds each, at bar lines where that can be."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from companion.listen.judgement import Judgement
from companion.listen.report.overlay import StateSpan, asked_spans, played_spans
from companion.schedule.as_heard import schedule_as_heard
from companion.schedule.events import Schedule

LINE_S = 2.8
"""The longest line: a gracenote of 40 ms is then still 4 pixels wide on a telephone."""


@dataclass(frozen=True, slots=True)
class TakeLanes:
    """What was asked where it was heard, and both as hole states, in the take's own time."""

    heard: Schedule
    asked: Sequence[StateSpan]
    played: Sequence[StateSpan]

    @classmethod
    def of(cls, judgement: Judgement) -> TakeLanes:
        """The lanes of a take that was judged."""
        heard = schedule_as_heard(judgement.asked.schedule, judgement.places)
        return cls(heard, asked_spans(heard), played_spans(judgement.events))

    def bar_at(self, at_s: float) -> int:
        """The number of the bar that was played at a moment, 0 for a pick-up."""
        return self.heard.played[self.heard.events[self.heard.event_index_at(at_s)].played].bar.number


@dataclass(frozen=True, slots=True)
class PageLine:
    """A line's own stretch of time, and which findings fall into it."""

    begin_s: float
    end_s: float
    findings: range


def lines_of(judgement: Judgement, lanes: TakeLanes) -> Iterator[PageLine]:
    """The lines of a take in order; every finding is in one of them, and none is empty."""
    if not lanes.played:
        return
    times = [finding.at_s for finding in judgement.findings]
    begin_s, end_s = lanes.played[0].start_s, lanes.played[-1].end_s
    shown = 0
    while begin_s < end_s:
        cut_s = _cut(lanes.heard, begin_s) if begin_s + LINE_S < end_s else end_s
        stop = bisect_left(times, cut_s) if cut_s < end_s else len(times)
        if stop > shown or any(span.start_s < cut_s and span.end_s > begin_s for span in lanes.played):
            yield PageLine(begin_s, cut_s, range(shown, stop))
        begin_s, shown = cut_s, stop


def _cut(heard: Schedule, begin_s: float) -> float:
    """Where a line ends that begins then: at the last bar line that it has room for, else at a beat, else between."""
    latest_s = begin_s + LINE_S
    for times in ([beat.at_s for beat in heard.beats if beat.first], [beat.at_s for beat in heard.beats]):
        before = bisect_right(times, latest_s) - 1
        if before >= 0 and times[before] > begin_s + LINE_S / 2.0:
            return times[before]
    return latest_s
