"""How long a player's gracenotes usually are, learnt as they are heard."""

from __future__ import annotations

from dataclasses import replace
from statistics import median

from companion.listen.find.gracenotes.group import GroupHeard
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


class GracenoteLengths:
    """The lengths of the gracenotes that were heard apart from other notes.

    usual_s: the length of this player's usual one, in s: of the last ones, unless it was known before.
    """

    def __init__(self, usual_s: float | None = None) -> None:
        self._known_s = usual_s
        self._lengths_s: list[float] = []
        self.usual_s = USUAL_S if usual_s is None else usual_s

    @property
    def middle_s(self) -> float | None:
        """The median of all of them, in s; None where they are too few."""
        return median(self._lengths_s) if len(self._lengths_s) >= FEWEST else None

    def limits(self, limits: Limits) -> Limits:
        """Return the limits for this player's gracenotes."""
        usual_ms = 1000.0 * self.usual_s
        if usual_ms < SLOW_FROM * limits.gracenote_ms:
            return limits
        return replace(limits, gracenote_ms=max(limits.gracenote_ms, OUTLIER * usual_ms))

    def hear(self, group: GroupHeard) -> None:
        """Take in the gracenotes of one group."""
        alone_s = [each.segment.lasted_s() for each in group.graces if each.alone]
        self._lengths_s += alone_s
        if alone_s and self._known_s is None and len(self._lengths_s) >= FEWEST:
            self.usual_s = median(self._lengths_s[-MEMORY:])
