"""One note of the tune that is heard alone: while it sounds the tune stands still, at that note."""

from __future__ import annotations

from dataclasses import dataclass

from companion.schedule.alone import event_alone
from companion.schedule.events import Schedule
from companion.schedule.spans import Span


@dataclass(frozen=True, slots=True)
class Alone:
    """The note heard alone: from when to when it stands in the tune's schedule, and its own one; times in seconds.

    repeated: whether it is heard again and again, until it is let go.
    """

    start_s: float
    end_s: float
    schedule: Schedule
    repeated: bool

    @classmethod
    def at(cls, schedule: Schedule, time_s: float, *, repeated: bool) -> Alone:
        """The note or gracenote that sounds at `time_s` of the tune."""
        index = schedule.event_index_at(time_s)
        event = schedule.events[index]
        return cls(event.start_s, event.end_s, event_alone(schedule, index), repeated)

    @property
    def span(self) -> Span | None:
        """What its player goes over again and again; None where it is heard once."""
        return Span(0.0, self.schedule.duration_s) if self.repeated else None

    def moment_s(self, position_s: float) -> float:
        """The moment of the tune, once its player stands at `position_s`; the note's end while it is silent."""
        return min(self.start_s + max(0.0, position_s), self.end_s - 1e-6)

    def is_over(self, position_s: float) -> bool:
        """Whether it has been heard."""
        return not self.repeated and self.start_s + position_s >= self.end_s
