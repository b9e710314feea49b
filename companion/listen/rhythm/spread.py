"""How far a player's notes stray from the pulse: learnt, for no two players stray alike."""

from __future__ import annotations

import math

SPREAD = 0.025
"""What a player's notes stray by, as a share of the interval, until it is learnt: 2 % for musicians, 4 % for others
(tapping, Repp 2005, from memory)."""

LEAST_SPREAD, MOST_SPREAD = 0.01, 0.12
LEAST_SPREAD_S = 0.004
MEMORY_NOTES = 24.0
"""Notes over which the spread is learnt."""

SHARE_MEMORY_NOTES = 60.0
"""Notes over which it is learnt what the spread goes with."""

RULED_OUT = 2.0
"""A trial is not believed if another foretold what was heard this much better, as a logarithm of odds: seven to one."""

USUAL_SHARE = 0.15
"""The share that the player's usual interval has in a spread that otherwise goes with the intervals beside a note."""

CLIPPED = 2.0
CLIPPED_MEAN = 0.92
"""Off times count for the spread up to this many standard deviations, so that faults do not; what the square of such a
clipped normal number is on the average (integrated)."""

STRANGER_NOTES = 1.0
MOST_KNOWN_NOTES = 6
"""A player not heard for long may stray further: twice as far at the first note, half as much again after so many. One
who was heard for as many as MOST_KNOWN_NOTES, and longer, still by a seventh: what is learnt from MEMORY_NOTES is known
to so much (by Student's distribution, 24 degrees of freedom: 4.0 for the 3.5 of a normal one)."""


class Spread:
    """What notes stray by may go with the longer of the intervals beside them, with the one before, or be the same for
    all. Each is tried, with a share of its own; the most that a trial not ruled out by what was heard says is believed.
    """

    def __init__(self, interval_s: float) -> None:
        self._usual_s = interval_s
        self._shares = [SPREAD] * 3
        self._odds = [0.0] * 3
        self._believed = [0, 1, 2]
        self._notes = 0

    @property
    def usual_s(self) -> float:
        """What a note at the usual interval strays by."""
        return self._of((self._usual_s,) * 3)

    @property
    def strangeness(self) -> float:
        """How much further than expected a player not heard for long may stray: from 2 down to 8/7."""
        return 1.0 + STRANGER_NOTES / (STRANGER_NOTES + min(self._notes, MOST_KNOWN_NOTES))

    def noise_s(self, before_s: float, after_s: float) -> float:
        """The standard deviation of a note between two intervals, in s."""
        return max(LEAST_SPREAD_S, self._of(self._intervals_s(before_s, after_s)))

    def _intervals_s(self, before_s: float, after_s: float) -> tuple[float, float, float]:
        usual_s = self._usual_s
        own_s = USUAL_SHARE * usual_s
        rest = 1.0 - USUAL_SHARE
        return own_s + rest * max(before_s, after_s), own_s + rest * before_s, usual_s

    def _of(self, intervals_s: tuple[float, float, float]) -> float:
        shares = self._shares
        return max([shares[rank] * intervals_s[rank] for rank in self._believed])

    def learn(self, off_s: float, pulse_variance: float, before_s: float, after_s: float) -> None:
        """A note between two intervals strayed by `off_s` from a pulse that was known with this variance (s²)."""
        self._notes += 1
        self._usual_s += 0.1 * (before_s - self._usual_s)
        for rank, interval_s in enumerate(self._intervals_s(before_s, after_s)):
            variance = pulse_variance + max((self._shares[rank] * interval_s) ** 2, LEAST_SPREAD_S**2)
            surprise = min(off_s**2 / variance, CLIPPED**2)
            self._odds[rank] -= 0.5 * (surprise + math.log(variance)) + self._odds[rank] / SHARE_MEMORY_NOTES
            changed = self._shares[rank] * math.sqrt(1.0 + (surprise / CLIPPED_MEAN - 1.0) / MEMORY_NOTES)
            self._shares[rank] = min(max(changed, LEAST_SPREAD), MOST_SPREAD)
        least = max(self._odds) - RULED_OUT
        self._believed = [rank for rank, odds in enumerate(self._odds) if odds >= least]
