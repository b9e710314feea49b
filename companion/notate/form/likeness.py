"""How alike two stretches of a counted take are, tick by tick."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.notate.pulse.counted import CountedTake
from companion.notate.pulse.feet import TICKS
from fingering.notes import Note

Codes = NDArray[np.int64]

SILENT = -1
WITHIN = 3
"""Ticks by which a note may begin sooner or later and be alike: an even pair is like a dotted one with its notes."""


class TakeLikeness:
    """The notes of a take on a grid of ticks."""

    def __init__(self, take: CountedTake) -> None:
        size = (take.feet + 1) * TICKS
        self._sounding: Codes = np.full(size, SILENT, dtype=np.int64)
        for each in take.notes:
            self._sounding[each.start : each.end] = int(each.note)
        # Which notes sound within reach of each tick; one row a note, the last for silence.
        self._near = np.zeros((len(Note) + 1, size), dtype=np.bool_)
        for each in take.notes:
            self._near[int(each.note), max(0, each.start - WITHIN) : each.end + WITHIN] = True

    def apart(self, first: int, second: int, ticks: int) -> float:
        """Return how unlike two stretches of so many ticks are, 0 to 1; what is not there is unlike."""
        ticks = min(ticks, len(self._sounding) - max(first, second))
        if ticks <= 0:
            return 1.0
        ones, others = np.arange(first, first + ticks), np.arange(second, second + ticks)
        one, other = self._sounding[ones], self._sounding[others]
        heard = (one != SILENT) & (other != SILENT)
        if not heard.any():
            return 1.0
        alike = self._near[one, others] & self._near[other, ones]
        return float(np.mean(~alike[heard]))
