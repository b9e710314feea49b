"""Samples as they come, in blocks of any size, made into thinned samples and the power spectra of whole frames."""

from __future__ import annotations

import numpy as np

from companion.hearing.spectra import Floats, FrameGrid, Thinner, power_spectra


class FrameStream:
    """Thins and frames a stream of mono samples. grid: other frames than those that are heard.

    Frame i of all that it gave is centred at `grid.centre_s(i)`.
    """

    def __init__(self, rate_hz: float, grid: FrameGrid | None = None) -> None:
        self._thinner = Thinner(round(rate_hz))
        self.grid = grid or FrameGrid.of(self._thinner.rate_hz)
        self._held = np.zeros(0, np.float32)

    def take(self, samples: Floats) -> tuple[Floats, Floats]:
        """The thinned samples that have become known, and the spectra of the frames that became whole, shape (frames,
        bins)."""
        thinned = self._thinner.thin(samples)
        held = np.concatenate((self._held, thinned))
        powers = power_spectra(held, self.grid)
        self._held = held[len(powers) * self.grid.hop :]
        return thinned, powers
