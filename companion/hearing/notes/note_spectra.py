"""Finds what a note looks like in the frames in which it surely sounds alone: its pitch and its spectrum. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from companion.hearing.intake.quantiles import column_quantiles
from companion.hearing.likeness import NOISE_VARIANCE_DB
from companion.hearing.path import HeardStretch
from companion.hearing.spectra import Floats, FrameGrid, lobe
from companion.hearing.voice import BREATH_SHARE, DECIBELS, RANKS

EDGE_S = 0.015
LEAST_S = 0.06
"""Of a note only what is 15 ms from its ends is learnt from, and only of one that is long enough."""

ROOM_EDGE_S, ROOM_LEAST_S = 0.050, 0.080
"""In a room only what is 50 ms from its beginning, when what sounded before has faded by some 8 dB."""

MOST_SEEN_VARIANCE = 20.0

ENOUGH_FOR_PITCH = 500
"""Enough frames of a piece, from all over it, to tell a pitch to a fraction of a cent."""


def likeness(one: NDArray[np.floating], other: NDArray[np.floating]) -> float:
    """How like two spectra are, 0 to 1: the cosine between their fourth roots."""
    first, second = one**0.25, other**0.25
    return float(first @ second / np.sqrt((first @ first) * (second @ second)))


def inner_frames(
    ways: Sequence[Sequence[HeardStretch]],
    note: int,
    hop_s: float,
    edge_s: float = EDGE_S,
    least_s: float = LEAST_S,
    begin_s: float = 0.0,
) -> list[NDArray[np.intp]]:
    """The frames of each piece in which a pitch surely sounds alone: `edge_s` from its ends, and `begin_s` from its
    beginning if that is more."""
    edge, least, begin = round(edge_s / hop_s), round(least_s / hop_s), round(max(edge_s, begin_s) / hop_s)
    return [
        np.concatenate(
            [
                np.arange(each.first + begin, each.stop - edge)
                for each in way
                if each.pitch == note and each.stop - each.first >= least
            ]
            or [np.zeros(0, np.intp)]
        )
        for way in ways
    ]


def measured_pitch(
    pieces: Sequence[Floats],
    chosen: Sequence[NDArray[np.intp]],
    grid: FrameGrid,
    hz: float,
    harmonics: NDArray[np.float64],
    ground: Floats,
) -> float:
    """The pitch of a note, by how far the phase of each harmonic goes from one frame to the next, the higher harmonics
    weighed by their rank squared (as the Cramer-Rao bound has it)."""
    ranks = np.arange(1, RANKS + 1)
    bins_hz = grid.bins_hz
    ranks = ranks[(ranks * hz > bins_hz[0]) & (ranks * hz < bins_hz[-1])]
    nearest = np.abs(bins_hz[np.newaxis] - (ranks * hz)[:, np.newaxis]).argmin(axis=1)
    kept = harmonics[ranks - 1] > 4.0 * ground[nearest]
    if not kept.any():
        return hz
    ranks, nearest = ranks[kept], nearest[kept]
    turned = np.zeros(len(ranks), np.complex128)
    cosines, sines = _waves(grid)
    basis = np.concatenate((cosines[:, nearest], sines[:, nearest]), axis=1)
    for piece, frames in zip(pieces, chosen, strict=True):
        if len(frames):
            views = np.lib.stride_tricks.sliding_window_view(piece, grid.window)
            frames = frames[(frames + 1) * grid.hop < len(views)]
            frames = frames[:: max(1, len(frames) // ENOUGH_FOR_PITCH)]
            here, after = (_complex(views[at * grid.hop] @ basis) for at in (frames, frames + 1))
            turned += (after * here.conj()).sum(axis=0)
    turns = np.angle(turned) / (2.0 * np.pi)
    expected = ranks * hz * grid.hop_s
    found_hz = (turns + np.round(expected - turns)) / grid.hop_s
    off_cents = 1200.0 * np.log2(found_hz / (ranks * hz))
    weight = np.abs(turned) * ranks**2 * (np.abs(off_cents) < 60.0)
    if not weight.sum() > 0.0:
        return hz
    return float(hz * 2.0 ** ((weight * off_cents).sum() / weight.sum() / 1200.0))


@lru_cache(maxsize=2)
def _waves(grid: FrameGrid) -> tuple[Floats, Floats]:
    """The real and imaginary parts of each bin's wave under a window, shape (samples, bins): the same for all notes."""
    times = np.arange(grid.window) / grid.rate_hz
    window = np.hanning(grid.window)
    waves = window[:, np.newaxis] * np.exp(-2j * np.pi * times[:, np.newaxis] * grid.bins_hz)
    return waves.real.astype(np.float32), waves.imag.astype(np.float32)


def _complex(parts: Floats) -> NDArray[np.complex64]:
    """Real parts and, in as many columns after them, imaginary parts."""
    half = parts.shape[1] // 2
    return np.asarray(parts[:, :half] + np.complex64(1j) * parts[:, half:], np.complex64)


def measured_spectrum(own: Floats, grid: FrameGrid, hz: float, ground: Floats) -> tuple[NDArray[np.float64], float]:
    """The power of each harmonic of a note, and what fills the bins between. own: its frames."""
    mean = np.exp(
        np.log(np.maximum(own, 0.01 * ground)).mean(axis=0)
    )  # the mean of decibels, that far-off ones hardly move
    above = np.maximum(mean - ground, 0.0)
    ranks = np.arange(1, RANKS + 1)
    lobes = lobe((grid.bins_hz[np.newaxis] - (ranks * hz)[:, np.newaxis]).astype(np.float32), grid)
    near = lobes > 0.2
    seen = (near * lobes * above).sum(axis=1) / np.maximum((near * lobes**2).sum(axis=1), 1e-9)
    seen = np.where(near.any(axis=1), seen, 0.0)
    between = ~(lobes > 1e-3).any(axis=0)
    total = float(seen.sum())
    breath = float(np.median(above[between])) if between.any() else 0.0
    return np.maximum(seen, 1e-9 * total), max(breath, BREATH_SHARE * total)


def spectrum_as_seen(own: Floats, ground: Floats) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The power by bin of a note's frames, without the ground, and how far it strays, in dB squared."""
    logs = np.log(np.maximum(own, 0.1 * ground))
    # Quantiles, not moments: some of these frames are another note's that was not heard yet.
    low, mean, high = column_quantiles(logs, (0.16, 0.5, 0.84))
    powers = np.maximum(np.exp(mean) - ground * 0.6, 0.03 * ground)
    variance = (0.5 * DECIBELS * (high - low)) ** 2
    # What strays as noise does is told by the ratio to the ground already.
    return powers, np.clip(variance - NOISE_VARIANCE_DB / (1.0 + 0.8 * powers / ground), 0.0, MOST_SEEN_VARIANCE)
