"""How long a player's gracenotes usually are, learnt as they are heard."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import median

from companion.listen.find.gracenotes.group import GroupHeard
from companion.listen.model.misheard import AS_PLAYED, Misheard
from companion.listen.model.strictness import Limits

USUAL_S = 0.045
"""What a good gracenote lasts, in s, until some were heard (common practice, no source)."""

MEMORY = 48
FEWEST = 12
"""The median of so many counts, once there are as many as FEWEST."""

SLOW_FROM = 0.8
"""Whose usual gracenote lasts this share of the limit has slow fingers: then one is long when it is OUTLIER times as
long as the others, and that all of them are slow is told once."""

OUTLIER = 1.5

BY_CHANCE = 8.0 / 7.0
"""How many times as many standard deviations as a note off its time a gracenote must differ from its fellows by: any of
three or four may be the odd one, and how far a player's stray is known to a few parts in a hundred (a choice)."""

AGAINST_FELLOWS = math.sqrt(1.5)
"""How many times as far as one gracenote its difference from the mean of two fellows strays."""

MOST_RATIO = 2.3
"""However much a player's gracenotes stray, one so many times as long as its fellows is uneven, unless a teacher allows
more (a choice, no source)."""

MAD_TO_SD = 1.4826
"""A standard deviation for each median of what numbers differ from their median by, of a normal distribution."""


@dataclass(frozen=True, slots=True)
class GracenotesKnown:
    """What a whole take shows of a player's gracenotes: the usual length, in s, and what those of one embellishment
    stray by from each other, as the standard deviation of their logarithm."""

    usual_s: float
    stray: float


class GracenoteLengths:
    """The lengths of the gracenotes that were heard apart from other notes.

    usual_s: the length of this player's usual one, in s: of the last ones, unless it was known before.
    """

    def __init__(self, known: GracenotesKnown | None = None, misheard: Misheard = AS_PLAYED) -> None:
        """misheard: how far lengths may be off."""
        self._known, self._misheard = known, misheard
        self._lengths_s: list[float] = []
        self._strays: list[float] = []
        self.usual_s = USUAL_S if known is None else known.usual_s
        self._last_limits: tuple[Limits, float, Limits] | None = None

    @property
    def middle_s(self) -> float | None:
        """The median of all of them, in s; None where they are too few."""
        return median(self._lengths_s) if len(self._lengths_s) >= FEWEST else None

    @property
    def known(self) -> GracenotesKnown | None:
        """What all of them show; None where they are too few."""
        middle_s = self.middle_s
        if middle_s is None:
            return None
        few = len(self._strays) < FEWEST
        stray = 0.0 if few else MAD_TO_SD * median(self._strays)
        return GracenotesKnown(middle_s, math.sqrt(max(0.0, stray**2 - self._misheard.lengths**2)))

    def limits(self, limits: Limits) -> Limits:
        """Return the limits for this player's gracenotes."""
        last = self._last_limits  # asked for at every note, and seldom others
        if last is not None and last[0] is limits and last[1] == self.usual_s:
            return last[2]
        found = self._limits(limits)
        self._last_limits = limits, self.usual_s, found
        return found

    def _limits(self, limits: Limits) -> Limits:
        if self._known is not None:
            strays = BY_CHANCE * limits.off_time_spreads * AGAINST_FELLOWS * self._known.stray
            by_chance = min(math.exp(strays), MOST_RATIO)
            limits = replace(limits, uneven_ratio=max(limits.uneven_ratio, by_chance))
        usual_ms, long_from_ms = 1000.0 * self.usual_s, max(limits.gracenote_ms, self._misheard.long_from_ms)
        if usual_ms >= SLOW_FROM * limits.gracenote_ms:
            long_from_ms = max(long_from_ms, OUTLIER * usual_ms)
        return replace(limits, gracenote_ms=long_from_ms)

    def once_more(self) -> GracenoteLengths:
        """Return one for the same take from its beginning, which knows what this one has learnt."""
        return GracenoteLengths(self.known, self._misheard)

    def hear(self, group: GroupHeard) -> None:
        """Take in the gracenotes of one group."""
        alone_s = [each.segment.lasted_s() for each in group.graces if each.alone]
        self._lengths_s += alone_s
        if len(alone_s) > 1:
            logs = [math.log(max(each_s - 0.001 * self._misheard.lengthened_ms, 1e-3)) for each_s in alone_s]
            middle, times = sum(logs) / len(logs), math.sqrt(len(logs) / (len(logs) - 1))
            self._strays += [times * abs(log - middle) for log in logs]
        if alone_s and self._known is None and len(self._lengths_s) >= FEWEST:
            self.usual_s = median(self._lengths_s[-MEMORY:])
