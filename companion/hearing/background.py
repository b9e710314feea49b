"""What sounds all the time beside a chanter: noise, hum and drones, bin by bin."""

from __future__ import annotations

import numpy as np

from companion.hearing.spectra import Floats

SMOOTHED_S = 0.1
QUANTILE = 0.1
OF_MEAN = 1.4
"""The tenth part of the quietest tenths of a second is background. Of noise, whose power in 100 ms strays as a gamma
variable of some eight degrees, that is 0.6 of the mean, of steady drones nearly all: between them lies 1.4 times it."""

LEAST_SHARE = 3e-5
"""No background is below 45 dB under the loudest frames: of a digital silence nothing could be said."""


def smoothed(powers: Floats, frames: int) -> Floats:
    """The mean power of so many frames in a row, shape (frames - n + 1, bins)."""
    frames = max(1, min(frames, len(powers)))
    sums = np.cumsum(powers, axis=0, dtype=np.float64)
    sums = np.concatenate((np.zeros((1, powers.shape[1])), sums))
    return ((sums[frames:] - sums[:-frames]) / frames).astype(np.float32)


def background(powers: Floats, hop_s: float) -> Floats:
    """The mean power of what sounds all the time, by bin. powers: shape (frames, bins), one frame at least."""
    means = smoothed(powers, round(SMOOTHED_S / hop_s))
    quiet = np.quantile(means[:: max(1, round(0.02 / hop_s))], QUANTILE, axis=0) * OF_MEAN
    loudest = float(np.quantile(powers.max(axis=1), 0.95))
    least = np.float32(max(LEAST_SHARE * loudest, 1e-12))
    return np.asarray(np.maximum(quiet, least), np.float32)
