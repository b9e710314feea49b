"""The stretch of a tune that is played over: which of its notes, whatever the timing and the setting."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from operator import attrgetter

from companion.schedule.events import EventKind, Schedule
from companion.schedule.spans import Span
from companion.score.model import Tune
from companion.score.performance import performance
from companion.score.setting import Setting, in_setting, written_rank

_NEAR_S = 1e-6
"""Two moments that are as near are one: a span may have gone through several timings."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Notes `first` to `stop` - 1 of a tune as it is played, repeats and all.

    led_onto: whether the gracenotes onto its first note belong to it, which may come before the beat.
    """

    first: int
    stop: int
    led_onto: bool = True

    @property
    def notes(self) -> range:
        """Its notes, as indices of the tune's notes as played."""
        return range(self.first, self.stop)


def stretch_of(schedule: Schedule, span: Span) -> Stretch | None:
    """The notes whose beat lies in a span of a tune's schedule; None for all of them, and for a span without one.

    Gracenotes onto the first one belong to it unless they begin before the span.
    """
    begins_s, ends_s = span.start_s - _NEAR_S, span.end_s - _NEAR_S
    first, stop = (bisect_left(schedule.note_onsets_s, at_s) for at_s in (begins_s, ends_s))
    if first >= stop or (first, stop) == (0, len(schedule.played)):
        return None
    leading = schedule.events[bisect_left(schedule.events, first, key=attrgetter("played"))]
    return Stretch(first, stop, led_onto=leading.start_s >= begins_s)


def span_of(schedule: Schedule, stretch: Stretch) -> Span:
    """The time of a stretch, from its first note or gracenote to the end of its last note."""
    inside = events_in(schedule, stretch)
    last = next(rank for rank in reversed(inside) if schedule.events[rank].played < stretch.stop)
    return Span(schedule.events[inside.start].start_s, schedule.events[last].end_s)


def events_in(schedule: Schedule, stretch: Stretch) -> range:
    """The events of a stretch, as indices of the schedule's events.

    At its end come the gracenotes onto the note after it: where a stretch is repeated they sound, if they come before
    the beat, and whoever plays along may play them or not.
    """
    events = schedule.events
    first, stop = (bisect_left(events, played, key=attrgetter("played")) for played in (stretch.first, stretch.stop))
    if not stretch.led_onto:
        first = _first_held(schedule, first)
    return range(first, _first_held(schedule, stop))


def _first_held(schedule: Schedule, event: int) -> int:
    """The first event from that one on that is no gracenote."""
    while event < len(schedule.events) and schedule.events[event].kind is EventKind.GRACENOTE:
        event += 1
    return event


def stretch_in_setting(tune: Tune, setting: Setting, stretch: Stretch) -> Stretch:
    """A stretch of a tune as it is written, in another setting of it, where notes may be added to it and before it."""
    if not any(change.added for change in setting):
        return stretch
    written = performance(tune)
    first, last = (written[rank] for rank in (stretch.first, stretch.stop - 1))
    begins, ends = (first.turn, first.note.rank), (last.turn, last.note.rank)
    inside = [
        rank
        for rank, each in enumerate(performance(in_setting(tune, setting)))
        if begins <= (each.turn, written_rank(setting, each.note.rank)) <= ends
    ]
    return Stretch(inside[0], inside[-1] + 1, stretch.led_onto)
