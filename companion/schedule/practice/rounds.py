"""What is played over and over, round by round: which stretch, after which rest, and whose turn it is."""

from __future__ import annotations

import enum
from collections.abc import Iterator
from dataclasses import dataclass, replace

from companion.schedule.count_in import CountIn, rest_between
from companion.schedule.events import Schedule
from companion.schedule.spans import Extent, Span, moved_time, span_around
from companion.score.model import Tune

_NEAR_S = 1e-6
"""Ends that are as near are one: the same stretch may have been found twice."""


class Rest(enum.Enum):
    """How long the pulse goes on alone between two rounds."""

    NONE = "none"
    BEAT = "a beat"
    BAR = "a bar"
    STRETCH = "as long as the stretch"


class Echo(enum.Enum):
    """Whether what the tool plays is left to the learner for as long, and what comes then: that again, or the next."""

    OFF = "off"
    AGAIN = "again"
    ON = "on to the next"


class Turn(enum.Enum):
    """Who plays in a round: the tool, or whoever plays it back, while the tool's chanter is silent."""

    TOOL = "the tool"
    LEARNER = "the learner"


@dataclass(frozen=True, slots=True)
class RepeatRound:
    """Once through a stretch, after `rest_s` seconds in which `rest` is counted; None for none.

    place: the stretch's index among those that are repeated.
    """

    span: Span
    rest_s: float = 0.0
    rest: CountIn | None = None
    turn: Turn = Turn.TOOL
    place: int = 0

    @property
    def whole_s(self) -> float:
        """Seconds from the end of the round before to its own."""
        return self.rest_s + self.span.end_s - self.span.start_s


@dataclass(frozen=True, slots=True)
class Repeat:
    """Stretches that are played one after the other, and then from the first again.

    echo: whether each is left to the learner as well, for as long, once the tool has played it.
    """

    spans: tuple[Span, ...]
    rest: Rest = Rest.NONE
    echo: bool = False

    def moved(self, old: Schedule, new: Schedule) -> Repeat:
        """Return these stretches of schedule `old` as stretches of `new`, another timing of the tune."""
        moved = (Span(moved_time(old, new, span.start_s), moved_time(old, new, span.end_s)) for span in self.spans)
        return replace(self, spans=tuple(moved))

    def is_near(self, other: Repeat | None) -> bool:
        """Whether both ask for the same."""
        if other is None or (len(self.spans), self.rest, self.echo) != (len(other.spans), other.rest, other.echo):
            return False
        pairs = zip(self.spans, other.spans, strict=True)
        return all(abs(a.start_s - b.start_s) + abs(a.end_s - b.end_s) < _NEAR_S for a, b in pairs)

    def rounds(self, schedule: Schedule) -> tuple[RepeatRound, ...]:
        """Its rounds in a schedule, in order; after the last comes the first again."""
        turns = tuple(Turn) if self.echo else (Turn.TOOL,)
        places = [(place, span, turn) for place, span in enumerate(self.spans) for turn in turns]
        rounds = []
        for rank, (place, span, turn) in enumerate(places):
            rest = rest_between(schedule, places[rank - 1][1].end_s, span, self.beats_of_rest)
            rounds.append(RepeatRound(span, rest.length_s if rest else 0.0, rest, turn, place))
        return tuple(rounds)

    def beats_of_rest(self, span: Span, beat_s: float, bar_beats: int) -> float:
        """How many beats the rest before a stretch has at least."""
        match self.rest:
            case Rest.NONE:
                return 0.0
            case Rest.BEAT:
                return 1.0
            case Rest.BAR:
                return float(bar_beats)
            case Rest.STRETCH:
                return (span.end_s - span.start_s) / beat_s


@dataclass(frozen=True, slots=True)
class Going:
    """Where a repeat of `rounds` rounds stands: in which of them, how many went before it since it began, and at which
    place of the schedule, in seconds. In the rest before the round the place is before its stretch.
    """

    round: RepeatRound
    done: int
    place_s: float
    rounds: int

    @property
    def times(self) -> int:
        """How many times all that is repeated was played."""
        return self.done // self.rounds

    @property
    def resting(self) -> bool:
        """Whether the rest before the round still goes on."""
        return self.place_s < self.round.span.start_s


def stretches(tune: Tune, schedule: Schedule, extent: Extent) -> Iterator[Span]:
    """Yield all stretches of an extent, one after the other, in the order in which they are played."""
    at_s = schedule.note_onsets_s[0]
    while at_s < schedule.duration_s - _NEAR_S:
        span = span_around(tune, schedule, at_s, extent)
        if span is None or span.end_s <= at_s + _NEAR_S:
            return
        yield span
        at_s = span.end_s
