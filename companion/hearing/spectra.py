"""Short spectra of a sound: what is heard at each moment, bin by bin. Pure functions of samples."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

NEARLY_HZ = 15_000
"""Sounds are thinned to about this rate: a chanter's harmonics above 5 kHz tell nothing that those below do not."""

TAPS_PER_FACTOR = 16
CUT = 0.9
"""The low-pass filter before thinning: taps for each sample left out, and where it cuts, as a share of half the new
rate. A Hann-windowed sinc of 32 factors' length is 6 dB down at the cut and past 40 dB where it could fold into what
is looked at (below 0.45 of the new rate)."""

WINDOW_S = 0.020
HOP_S = 0.0025
"""A Hann window of 20 ms hears half of its power within 7 ms, so that 25 ms fill it, and parts the third
harmonics of neighbours on a practice chanter; 2.5 ms from one to the next is a quarter of what onsets may be off."""

LOWEST_HZ, HIGHEST_HZ = 150.0, 5_500.0
HIGHEST_SHARE = 0.45
"""Bins outside are not looked at: below lies nothing but hum and drones, above little but noise."""


EDGE_OF_LOBE = 1e-3

AT_ONCE = 64
"""The frames whose spectra are computed at once: more at once take twice the time for each, and so do fewer."""


@dataclass(frozen=True, slots=True)
class FrameGrid:
    """How a thinned sound is cut: its rate, and the window and hop in samples. Frame i is centred at `centre_s(i)`."""

    rate_hz: float
    window: int
    hop: int

    @classmethod
    def of(cls, rate_hz: float, window_s: float = WINDOW_S, hop_s: float = HOP_S) -> FrameGrid:
        """The grid for a rate."""
        return cls(rate_hz, max(8, round(window_s * rate_hz)), max(1, round(hop_s * rate_hz)))

    @property
    def hop_s(self) -> float:
        """From one frame to the next."""
        return self.hop / self.rate_hz

    @property
    def bins(self) -> slice:
        """Those bins of the whole spectrum that are looked at."""
        step_hz = self.rate_hz / self.window
        last_hz = min(HIGHEST_HZ, HIGHEST_SHARE * self.rate_hz)
        return slice(math.ceil(LOWEST_HZ / step_hz), int(last_hz / step_hz) + 1)

    @property
    def bins_hz(self) -> Floats:
        """Their frequencies."""
        chosen = self.bins
        return (np.arange(chosen.start, chosen.stop) * (self.rate_hz / self.window)).astype(np.float32)

    def centre_s(self, frame: float) -> float:
        """The middle of a frame, from the first sample."""
        return (frame * self.hop + 0.5 * self.window) / self.rate_hz

    def first_frame(self, at_s: float) -> int:
        """The first frame of what begins at a time, and the first after what ends then."""
        return round((at_s - self.centre_s(-0.5)) / self.hop_s)

    def frames_in(self, samples: int) -> int:
        """How many whole frames so many samples hold."""
        return max(0, (samples - self.window) // self.hop + 1)


def hann(window: int) -> Floats:
    """A periodic Hann window, whose samples are taken between its zeros so that it is even about its middle."""
    return (0.5 - 0.5 * np.cos(2.0 * np.pi * (np.arange(window) + 0.5) / window)).astype(np.float32)


def power_spectra(samples: Floats, grid: FrameGrid) -> Floats:
    """The power in each bin of each frame, shape (frames, bins): a sine of amplitude 1 has 1 where it lies on a bin."""
    count = grid.frames_in(len(samples))
    chosen = grid.bins
    if not count:
        return np.zeros((0, chosen.stop - chosen.start), np.float32)
    frames = np.lib.stride_tricks.sliding_window_view(samples, grid.window)[:: grid.hop][:count]
    window = hann(grid.window)
    window *= 2.0 / window.sum()
    powers = np.empty((count, chosen.stop - chosen.start), np.float32)
    for first in range(0, count, AT_ONCE):  # so that all stays in a processor's nearest memory
        spectra = np.fft.rfft(frames[first : first + AT_ONCE] * window, axis=1)[:, chosen]
        powers[first : first + AT_ONCE] = spectra.real**2 + spectra.imag**2
    return powers


def lobe(away_hz: Floats, grid: FrameGrid) -> Floats:
    """The power that a sine of amplitude 1 leaves in a bin that lies so far from it: the Hann window's own spectrum."""
    x = away_hz * (grid.window / grid.rate_hz)
    # sinc(x) + (sinc(x - 1) + sinc(x + 1)) / 2, in one sine; where it is 0 over 0 it is a half.
    over = 1.0 - x * x
    edge = np.abs(over) < EDGE_OF_LOBE
    return np.asarray(np.where(edge, 0.5, np.sinc(x) / np.where(edge, 1.0, over)) ** 2, np.float32)


def thinning(rate_hz: int) -> int:
    """Return how many samples there are for each one that is kept."""
    return max(1, round(rate_hz / NEARLY_HZ))


class Thinner:
    """Thins a sound block by block to a rate near NEARLY_HZ; nothing is moved in time."""

    def __init__(self, rate_hz: int) -> None:
        self.factor = thinning(rate_hz)
        self.rate_hz = rate_hz / self.factor
        half = TAPS_PER_FACTOR * self.factor
        at = np.arange(-half, half + 1)
        taps = np.sinc(at * CUT / self.factor) * (0.5 + 0.5 * np.cos(np.pi * at / (half + 1)))
        self._taps = (taps / taps.sum()).astype(np.float32)
        self._half = half
        self._held = np.zeros(half, np.float32)

    def thin(self, samples: Floats) -> Floats:
        """The next mono samples, thinned; what needs samples that are yet to come is kept back."""
        if self.factor == 1:
            return samples
        held = np.concatenate((self._held, samples))
        count = max(0, (len(held) - 2 * self._half - 1) // self.factor + 1)
        self._held = held[count * self.factor :]
        return self._filtered(held, count)

    def rest(self) -> Floats:
        """What was kept back, as if silence followed."""
        if self.factor == 1:
            return np.zeros(0, np.float32)
        return self.thin(np.zeros(self._half, np.float32))

    def _filtered(self, held: Floats, count: int) -> Floats:
        out = np.zeros(count, np.float32)
        if not count:
            return out
        for first in range(self.factor):  # each phase of the filter is a short one over every so manieth sample
            taps = self._taps[first :: self.factor]
            part = held[first :: self.factor][: count + len(taps) - 1]
            out += np.convolve(part, taps[::-1], "valid")[:count]
        return out
