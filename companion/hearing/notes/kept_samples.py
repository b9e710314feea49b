"""Samples of the last seconds, by the frames that they are cut into: for what looks once more at what was heard."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.spectra import Floats, FrameGrid

KEPT_S = 15.0
"""Samples are kept no longer, or an hour of silence, which is one stretch, would be. A block and a second
are not settled (`hear.BLOCK_S`, `path.SETTLED_FRAMES`); of a note that lasts longer its end is looked at."""


class KeptSamples:
    """Samples that come block by block, thinned as for the grid. Memory is that of KEPT_S at most."""

    def __init__(self, grid: FrameGrid) -> None:
        self.grid = grid
        self.gone = 0
        """The frames before the first that is kept."""
        self._samples = np.zeros(0, np.float32)

    def take_in(self, samples: Floats) -> None:
        """The next samples."""
        self._samples = np.concatenate((self._samples, samples))
        self._drop(len(self._samples) // self.grid.hop - round(KEPT_S / self.grid.hop_s))

    def drop_before(self, frame: int) -> None:
        """Drop what lies before a frame."""
        self._drop(frame - self.gone)

    def hold(self, frames: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Whether all samples of each frame are kept."""
        ends = (frames - self.gone) * self.grid.hop + self.grid.window
        return np.asarray((frames >= self.gone) & (ends <= len(self._samples)))

    def windows(self, frames: NDArray[np.intp]) -> Floats:
        """The samples of each frame of which all are kept, in order, shape (frames, window)."""
        starts = (frames[self.hold(frames)] - self.gone) * self.grid.hop
        return np.asarray(self._samples[starts[:, np.newaxis] + np.arange(self.grid.window)], np.float32)

    def _drop(self, frames: int) -> None:
        if frames > 0:
            self._samples = self._samples[frames * self.grid.hop :].copy()
            self.gone += frames
