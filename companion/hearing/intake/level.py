"""How loud a sound is, and whether it was too loud for what recorded it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

CLIPPED_SHARE = 0.002
CLIPPED_NEAR, BELOW_NEAR = 0.999, 0.9
"""A recording is clipped where so many of its samples stand at its greatest one, and more than a little below it. Of a
sine a ninth as many do, with 8 bits two fifths; of one that is clipped by 1 dB nearly three times as many."""

FEWEST_STEPS = 100.0
"""A sound whose peak is fewer steps high stands at it often: it is not clipped, but was recorded softly."""


class LevelMeter:
    """Measures the level of a sound as it goes by, in all of its channels."""

    def __init__(self) -> None:
        self.frames = 0
        self.lowest, self.greatest = 0.0, 0.0
        self._at_peak = self._below = 0
        self._peak = 0.0
        self._step = np.inf

    def measure(self, block: NDArray[np.float32]) -> None:
        """Take in the next samples, which are all numbers: shape (n,) or (n, channels)."""
        first = not self.frames
        self.frames += len(block)
        if not block.size:
            return
        low, high = float(block.min()), float(block.max())
        self.lowest, self.greatest = (low, high) if first else (min(low, self.lowest), max(high, self.greatest))
        if max(high, -low) > self._peak * 1.001:
            self._peak, self._at_peak, self._below = max(high, -low), 0, 0
        level = np.abs(block)
        self._step = min(self._step, float(level.min(initial=np.inf, where=level > 0.0)))
        at_peak = int((level >= CLIPPED_NEAR * self._peak).sum())
        self._at_peak += at_peak
        self._below += int((level >= BELOW_NEAR * self._peak).sum()) - at_peak

    @property
    def swing(self) -> float:
        """Half of what lies between the lowest and the greatest sample: a sound's peak, wherever its middle lies."""
        return 0.5 * (self.greatest - self.lowest)

    @property
    def clipped(self) -> bool:
        """Whether the greatest sample comes so often that it must be the greatest that there could be."""
        if self._peak < FEWEST_STEPS * self._step:
            return False
        return self._at_peak > max(CLIPPED_SHARE * max(1, self.frames), self._below)
