"""How far a player's notes stray from the pulse: learnt, for no two players stray alike."""

from __future__ import annotations

import math
from copy import deepcopy

from companion.listen.rhythm.fitted_spread import (
    CLIPPED,
    CLIPPED_MEAN,
    FEWEST_NOTES,
    LEAST_SPREAD_S,
    SAME_SPREAD,
    FittedSpread,
    Strayed,
)

SPREAD = 0.025
"""What a player's notes stray by, as a share of the interval, until it is learnt: 2 % for musicians, 4 % for others
(tapping, Repp 2005, from memory)."""

LEAST_SPREAD, MOST_SPREAD = 0.01, 0.12
MEMORY_NOTES = 24.0
"""Notes over which the spread is learnt."""

SHARE_MEMORY_NOTES = 60.0
"""Notes over which it is learnt what the spread goes with."""

RULED_OUT = 2.0
"""A trial is not believed if another foretold what was heard this much better, as a logarithm of odds: seven to one."""

USUAL_SHARE = 0.15
REST = 1.0 - USUAL_SHARE
"""The share that the player's usual interval has in a spread that otherwise goes with the intervals beside a note."""

STRANGER_NOTES = 1.0
MOST_KNOWN_NOTES = 6
"""A player not heard for long may stray further: twice as far at the first note, half as much again after so many. One
who was heard for as many as MOST_KNOWN_NOTES, and longer, still by a seventh: what is learnt from MEMORY_NOTES is known
to so much (by Student's distribution, 24 degrees of freedom: 4.0 for the 3.5 of a normal one)."""


_LEAST_VARIANCE, _MOST_SURPRISE = LEAST_SPREAD_S**2, CLIPPED**2


class Spread:
    """What notes stray by may go with the longer of the intervals beside them, with the one before, or be the same for
    all. Each is tried, with a share of its own; the most that a trial not ruled out by what was heard says is believed.
    """

    def __init__(self, interval_s: float) -> None:
        self._usual_s = interval_s
        self._shares = [SPREAD] * 3
        self._odds = [0.0] * 3
        self._notes = 0
        self._strayed: list[Strayed] = []
        self._believe()

    def fitted(self) -> Spread | FittedSpread:
        """Return what this player strays by, fitted to all notes learnt from; of too few, what was learnt."""
        return deepcopy(self) if len(self._strayed) < FEWEST_NOTES else FittedSpread(self._strayed)

    @property
    def usual_s(self) -> float:
        """What a note at the usual interval strays by."""
        return max(self._believed) * self._usual_s

    def is_like(self, other: object) -> bool:
        """Whether notes stray alike by both, to SAME_SPREAD."""
        if not isinstance(other, Spread):
            return False
        pairs = zip((*self._believed, self._usual_s), (*other._believed, other._usual_s), strict=True)
        return all(abs(one - two) <= SAME_SPREAD * max(one, two) for one, two in pairs)

    @property
    def strangeness(self) -> float:
        """How much further than expected a player not heard for long may stray: from 2 down to 8/7."""
        return 1.0 + STRANGER_NOTES / (STRANGER_NOTES + min(self._notes, MOST_KNOWN_NOTES))

    def noise_s(self, before_s: float, after_s: float) -> float:
        """The standard deviation of a note between two intervals, in s."""
        longer, before, _ = self._believed
        by_longer_s = longer * (self._own_s + REST * (before_s if before_s > after_s else after_s))
        by_before_s = before * (self._own_s + REST * before_s)
        by_either_s = by_longer_s if by_longer_s > by_before_s else by_before_s
        return by_either_s if by_either_s > self._least_s else self._least_s

    def noise_of_even_s(self, interval_s: float) -> float:
        """The standard deviation of a note between two intervals of that length, in s."""
        noise_s = self._most * (self._own_s + REST * interval_s)
        return noise_s if noise_s > self._least_s else self._least_s

    def note(self, strayed: Strayed) -> None:
        """Keep by how much a note strayed, for when all of the take is fitted."""
        self._strayed.append(strayed)

    def learn(self, off_s: float, pulse_variance: float, before_s: float, after_s: float) -> None:
        """A note between two intervals strayed by `off_s` from a pulse that was known with this variance (s²)."""
        self._notes += 1
        self._usual_s += 0.1 * (before_s - self._usual_s)
        own_s, square = USUAL_SHARE * self._usual_s, off_s**2
        by_before_s = own_s + REST * before_s
        by_longer_s = by_before_s if before_s > after_s else own_s + REST * after_s
        shares, all_odds = self._shares, self._odds
        for rank, interval_s in enumerate((by_longer_s, by_before_s, self._usual_s)):
            share, odds = shares[rank], all_odds[rank]
            noise = (share * interval_s) ** 2
            variance = pulse_variance + (noise if noise > _LEAST_VARIANCE else _LEAST_VARIANCE)
            surprise = square / variance
            if surprise > _MOST_SURPRISE:
                surprise = _MOST_SURPRISE
            all_odds[rank] = odds - (0.5 * (surprise + math.log(variance)) + odds / SHARE_MEMORY_NOTES)
            share *= math.sqrt(1.0 + (surprise / CLIPPED_MEAN - 1.0) / MEMORY_NOTES)
            shares[rank] = LEAST_SPREAD if share < LEAST_SPREAD else MOST_SPREAD if share > MOST_SPREAD else share
        self._believe()

    def _believe(self) -> None:
        """Reckon once what holds for every note until the next is learnt from: the shares of the trials, 0 for those
        ruled out, the usual interval's part in an interval, and the least that a note strays by."""
        (by_longer, by_before, alike), (longer, before, usual) = self._odds, self._shares
        likely = max(by_longer, by_before, alike) - RULED_OUT
        longer = longer if by_longer >= likely else 0.0
        before = before if by_before >= likely else 0.0
        usual = usual if alike >= likely else 0.0
        self._believed = longer, before, usual
        self._most = longer if longer > before else before
        self._own_s, least_s = USUAL_SHARE * self._usual_s, usual * self._usual_s
        self._least_s = least_s if least_s > LEAST_SPREAD_S else LEAST_SPREAD_S
