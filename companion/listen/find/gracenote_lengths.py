"""How long a player's gracenotes usually are, learnt as they are heard."""

from __future__ import annotations

from collections import deque
from statistics import median

from companion.listen.find.group import GroupHeard

USUAL_S = 0.045
"""What a good gracenote lasts, in s, until some were heard (common practice, no source)."""

MEMORY = 48
FEWEST = 6
"""The median of so many counts, once there are as many as FEWEST."""


class GracenoteLengths:
    """The lengths of the last gracenotes that were heard apart from other notes."""

    def __init__(self) -> None:
        self._lengths_s: deque[float] = deque(maxlen=MEMORY)

    @property
    def usual_s(self) -> float:
        """The length of this player's usual gracenote, in s."""
        return median(self._lengths_s) if len(self._lengths_s) >= FEWEST else USUAL_S

    def hear(self, group: GroupHeard) -> None:
        """Take in the gracenotes of one group."""
        self._lengths_s.extend(each.segment.lasted_s() for each in group.graces if each.alone)
