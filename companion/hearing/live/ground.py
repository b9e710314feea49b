"""Follows slowly what sounds beside a chanter while it goes on: noise, hum, drones that begin or stop."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.background import LEAST_SHARE, OF_MEAN, QUANTILE, SMOOTHED_S
from companion.hearing.spectra import Floats

FOLLOWED_S = 6.0
"""What has sounded for nearly so long is background."""

EVERY_ROWS = 5
"""How often, in tenths of a second, the background is looked at anew."""

LEAST_ROWS = 10
"""Before a second was heard the background is as it was."""

OWN_SHARE = 0.25
"""Where a note that is told fills more than this part of the background, nothing is learnt of the background."""


class GroundFollower:
    """Follows the power by bin of what sounds all the time.

    ground: what it was so far. loudest: the greatest power of any bin in any note, of which a background is always
    taken to be some small share. Bins that a note fills while it sounds are left as they were: long notes are none of
    it.
    """

    def __init__(self, ground: Floats, loudest: float, hop_s: float) -> None:
        self._least = np.float32(max(LEAST_SHARE * loudest, 1e-12))
        self.ground = np.maximum(ground, self._least)
        self._rows = np.zeros((round(FOLLOWED_S / SMOOTHED_S), len(ground)), np.float32)
        self._row_frames = max(1, round(SMOOTHED_S / hop_s))
        self._sum = np.zeros(len(ground), np.float64)
        self._known = np.zeros(len(ground), np.intp)
        self._frames = 0
        self._at, self._count = 0, 0

    def follow(self, powers: Floats, filled: NDArray[np.bool_]) -> bool:
        """Take in frames with which bins a note fills in each, both of shape (frames, bins); whether it changed."""
        changed = False
        for first in range(0, len(powers), self._row_frames):
            part = slice(first, first + self._row_frames)
            self._sum += np.where(filled[part], 0.0, powers[part]).sum(axis=0)
            self._known += (~filled[part]).sum(axis=0)
            self._frames += len(powers[part])
            if self._frames >= self._row_frames:
                changed = self._row_over() or changed
        return changed

    def _row_over(self) -> bool:
        known = self._known * 2 >= self._frames
        mean = self._sum / np.maximum(self._known, 1)
        self._rows[self._at] = np.where(known, mean, self.ground / OF_MEAN)
        self._at = (self._at + 1) % len(self._rows)
        self._count = min(self._count + 1, len(self._rows))
        self._sum[:], self._known[:], self._frames = 0.0, 0, 0
        if self._at % EVERY_ROWS or self._count < LEAST_ROWS:
            return False
        quiet = np.quantile(self._rows[: self._count], QUANTILE, axis=0) * OF_MEAN
        self.ground = np.maximum(quiet.astype(np.float32), self._least)
        return True
