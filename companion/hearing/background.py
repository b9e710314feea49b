"""Finds what sounds all the time beside a chanter: noise, hum and drones, bin by bin."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from companion.hearing.intake.quantiles import column_quantiles
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.spectra import Floats

SMOOTHED_S = 0.1
QUANTILE = 0.1
OF_MEAN = 1.4
"""The tenth part of the quietest tenths of a second is background. Of noise, whose power in 100 ms strays as a gamma
variable of some eight degrees, that is 0.6 of the mean, of steady drones nearly all: between them lies 1.4 times it."""

LEAST_SHARE = 3e-5
"""No background is below 45 dB under the loudest frames: of a digital silence nothing could be said."""

EDGE_S = 0.030
NO_POWER = 0.1
ENOUGH_FRAMES = 120
"""What sounds beside a note is looked at 30 ms from its ends, where its own power is a tenth of the ground at most; and
believed if it was seen for 0.3 s."""

MEAN_OF_LOGARITHM = float(np.exp(0.577))
"""What makes a mean of exponentially distributed power from the mean of its logarithm (Euler's constant)."""

BESIDE_BINS = 25
"""550 Hz of the bins of 22 Hz through which traits are looked at (`scale_fit.WINDOW_S`): more than from one harmonic of
a low note to the next."""

SMOOTH_BINS = 9
"""Noise differs little over so many bins (450 Hz); a harmonic fills three or four."""


def smoothed(powers: Floats, frames: int, every: int) -> Floats:
    """The mean power of so many frames in a row, from every so manieth on: shape (means, bins)."""
    frames = max(1, min(frames, len(powers)))
    unit = math.gcd(frames, every)
    parts = powers[: len(powers) // unit * unit].reshape(-1, unit, powers.shape[1])
    sums = np.zeros((len(parts) + 1, powers.shape[1]))
    np.cumsum(parts.sum(axis=1, dtype=np.float64), axis=0, out=sums[1:])
    first = np.arange(0, len(powers) - frames + 1, every) // unit
    return ((sums[first + frames // unit] - sums[first]) / frames).astype(np.float32)


def background(powers: Floats, hop_s: float) -> Floats:
    """The mean power of what sounds all the time, by bin. powers: shape (frames, bins), one frame at least."""
    means = smoothed(powers, round(SMOOTHED_S / hop_s), max(1, round(0.02 / hop_s)))
    quiet = column_quantiles(means, (QUANTILE,))[0] * OF_MEAN
    loudest = float(np.quantile(powers.max(axis=1), 0.95))
    least = np.float32(max(LEAST_SHARE * loudest, 1e-12))
    return np.asarray(np.maximum(quiet, least), np.float32)


def beside_notes(
    powers: Sequence[Floats],
    ways: Sequence[Sequence[HeardStretch]],
    templates: Floats,
    ground: Floats,
    hop_s: float,
) -> Floats:
    """What sounds beside notes, by bin: talk comes and goes, so that it is no background, yet stands between harmonics.

    templates: the power of each pitch, shape (pitches, bins). The ground as it was where too little was seen.
    """
    edge = round(EDGE_S / hop_s)
    logs, counts = np.zeros(len(ground)), np.zeros(len(ground))
    for power, way in zip(powers, ways, strict=True):
        for each in way:
            seen = power[each.first + edge : each.stop - edge]
            if not len(seen):
                continue
            empty = (
                np.ones(len(ground), np.bool_) if each.pitch == NO_PITCH else templates[each.pitch] < NO_POWER * ground
            )
            logs += np.where(empty, np.log(np.maximum(seen, 0.01 * ground)).sum(axis=0, dtype=np.float64), 0.0)
            counts += np.where(empty, len(seen), 0)
    found = np.exp(logs / np.maximum(counts, 1.0)) * MEAN_OF_LOGARITHM
    return np.asarray(np.where(counts >= ENOUGH_FRAMES, np.maximum(found, ground.min()), ground), np.float32)


def without_lines(ground: Floats) -> Floats:
    """A ground without what stands in it of notes that sound nearly always: the median of each bin's neighbours."""
    padded = np.pad(ground, SMOOTH_BINS // 2, mode="reflect")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, SMOOTH_BINS), axis=1), np.float32)


def between_lines(powers: Floats, hop_s: float) -> Floats:
    """The background where one note may sound all the time: of each bin no more than what a quarter of its neighbours,
    between that note's harmonics, are below. powers: shape (frames, bins)."""
    ground = background(powers, hop_s)
    padded = np.pad(ground, BESIDE_BINS // 2, mode="reflect")
    rows = np.lib.stride_tricks.sliding_window_view(padded, BESIDE_BINS)
    return np.asarray(np.minimum(ground, np.quantile(rows, 0.25, axis=1)), np.float32)
