"""Finds the moments of a tune that plays in the same tune after it was written anew."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from companion.schedule.bars import TimedBar
from companion.schedule.events import Schedule
from companion.schedule.rewritten.matching import TurnNow, turns_now
from companion.schedule.spans import Span
from companion.score.model import Tune

NEAR_S = 1e-6
"""Two moments that are as near are one: times of bars and times of notes are summed up in different ways."""

SHORTEST_S = 0.001
"""A stretch of which less is left is gone."""


@dataclass(frozen=True, slots=True)
class MovedMoments:
    """From the moments of an old schedule to those of a new one. turns: where each turn of the old one is now."""

    old: Schedule
    new: Schedule
    turns: tuple[TurnNow, ...]

    @classmethod
    def between(cls, old_tune: Tune, old: Schedule, new_tune: Tune, new: Schedule) -> MovedMoments:
        """The moments of a tune in its schedule, in the schedule of the same tune as it is written now."""
        return cls(old, new, turns_now(old_tune, new_tune))

    def moment(self, time_s: float) -> float:
        """The moment (s) at the same place of the same bar as it is now.

        A bar that is shorter now ends where it ends; for one that is gone it is the beginning of what is played next.
        """
        bar = self._bar_at(time_s)
        now = self.turns[bar.turn]
        there = self.new.bars[now.turn]
        if not now.stays:
            return self._on_a_movement(there.start_s)
        whole_notes = min((time_s - bar.start_s) / bar.whole_note_s, float(there.length))
        return self._on_a_movement(there.start_s + whole_notes * there.whole_note_s)

    def stretch(self, span: Span) -> Span | None:
        """Return where a stretch lies in the tune as it is now; None where nothing is left of it."""
        start_s, end_s = self.moment(span.start_s), self._end(span.end_s)
        return Span(start_s, end_s) if end_s - start_s > SHORTEST_S else None

    def _end(self, end_s: float) -> float:
        """The end of a stretch, which with the end of a bar becomes the end of that bar as it is now."""
        bar = self._bar_at(end_s - 2 * NEAR_S)
        now, ends_s = self.turns[bar.turn], _end_of(bar)
        there = self.new.bars[now.turn]
        if not now.stays:
            return self._on_a_movement(there.start_s)
        return self._on_a_movement(_end_of(there)) if abs(ends_s - end_s) < NEAR_S else self.moment(end_s)

    def _bar_at(self, time_s: float) -> TimedBar:
        rank = bisect_right(self.old.bars, time_s + NEAR_S, key=lambda bar: bar.start_s) - 1
        return self.old.bars[max(0, rank)]

    def _on_a_movement(self, time_s: float) -> float:
        """A moment, exactly that of a movement or the beginning of a sound where it is as good as that."""
        state = self.new.states[self.new.state_index_at(time_s + NEAR_S)]
        event = self.new.events[self.new.event_index_at(time_s + NEAR_S)]
        exact = (each for each in (state.at_s, event.start_s) if abs(each - time_s) < NEAR_S)
        return next(exact, time_s)


def _end_of(bar: TimedBar) -> float:
    return bar.start_s + float(bar.length) * bar.whole_note_s
