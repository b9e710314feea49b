"""How strict a teacher is: the limits from which a difference is worth a word, in ms and as ratios."""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Limits:
    """What passes without a word, up to and excluding each.

    crossing_ms: a noise between two notes, or a finger that slips. Four cycles of low A at 480 Hz, 8.3 ms, give a
    pitch; below 3 ms nothing is heard, from 20 ms two sounds have an order (Hirsh 1959, through Watson 2004).
    gracenote_ms: one gracenote; no published lengths, good ones are 25 to 60 ms (common practice).
    uneven_ratio, uneven_ms: one of an embellishment's gracenotes against the mean of its fellows, twice as long or half
    (a choice, no source); above the 20 ms as for order.
    off_time_ms: a melody note against the pulse. Players in ensembles stray 30 to 50 ms from each other (Rasch 1979).
    off_time_spreads: the same in standard deviations of the player's own unsteadiness, whichever of the two is more.
    pointing_ratio: the ratio asked against the ratio played, for a long and a short note that make one beat.
    break_ms: silence inside a tune; a pipe never stops (common practice).
    lengthened_ms, misplaced_ms: by how much gracenotes seem longer than they were, and notes may seem off their time,
    in what was heard in sound (`Misheard`).
    """

    crossing_ms: float
    gracenote_ms: float
    uneven_ratio: float
    uneven_ms: float
    off_time_ms: float
    off_time_spreads: float
    pointing_ratio: float
    break_ms: float
    lengthened_ms: float = 0.0
    misplaced_ms: float = 0.0

    def slowed(self, times: float) -> Limits:
        """The limits for a learner who plays gracenotes so many times slower: the two in ms of gracenotes are that much
        longer."""
        return replace(self, gracenote_ms=times * self.gracenote_ms, uneven_ms=times * self.uneven_ms)


class Strictness(enum.Enum):
    """How strictly a teacher listens."""

    EASY = "easy"
    USUAL = "usual"
    HARD = "hard"

    @property
    def limits(self) -> Limits:
        """The limits of this strictness."""
        return _LIMITS[self]


_LIMITS = {
    Strictness.EASY: Limits(20.0, 120.0, 2.6, 36.0, 100.0, 4.0, 1.9, 400.0),
    Strictness.USUAL: Limits(8.0, 85.0, 2.0, 28.0, 50.0, 3.5, 1.45, 150.0),
    Strictness.HARD: Limits(3.0, 70.0, 1.6, 18.0, 30.0, 2.8, 1.25, 90.0),
}
