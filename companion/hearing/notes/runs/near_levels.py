"""How loud F and high G sound at once, while one's echo covers the other: their harmonics lie nearer together than a
spectrum of 20 ms parts, but not than the samples themselves tell. Pure functions of samples.

Each harmonic of either is a wave of unknown phase whose power is that note's level times what was learnt of it. The
levels are the likeliest ones for all harmonics together, by expectation and maximisation.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.learnt import Learnt
from companion.hearing.spectra import HIGHEST_HZ, HIGHEST_SHARE, Floats, hann
from fingering.notes import Note

NEAR_NOTES = (Note.F, Note.HIGH_G)

RANKS = 8
"""Harmonics that are looked at: of higher ones an F's lies beside the next lower of a high G."""

LEAST_HARMONIC = 0.01
"""No harmonic is taken to be weaker than this beside the strongest: what was hardly heard is hardly known."""

FAINTEST = 1e-9
"""The power of the strongest harmonic of a note that was not heard."""

ROUNDS = 4
FIRST_LEVEL = 0.3
"""Where the rounds begin, and how many there are: levels no longer change by a tenth of a decibel then."""

LEAST_NOISE = 1e-4
"""The noise beside all that sounds, at least: pitches that stray by a few cents leave as much."""


class NearLevels:
    """Measures the levels of F and high G, as they were learnt of one chanter."""

    def __init__(self, learnt: Learnt) -> None:
        grid = learnt.grid
        hz = np.array([learnt.voice.hz[note] for note in NEAR_NOTES])
        highest_hz = min(HIGHEST_HZ, HIGHEST_SHARE * grid.rate_hz)
        ranks = np.arange(1, 1 + max(1, min(RANKS, int(highest_hz / hz.max()))))
        at_s = (np.arange(grid.window) - 0.5 * (grid.window - 1)) / grid.rate_hz
        window = hann(grid.window).astype(np.float64)
        turns = 2.0 * np.pi * at_s[:, np.newaxis, np.newaxis] * (hz[:, np.newaxis] * ranks)
        waves = np.square(window)[:, np.newaxis, np.newaxis] * np.exp(-1j * turns)
        parts = waves.reshape(grid.window, -1)
        self._shape = turns.shape[1:]
        self._basis = np.concatenate((parts.real, parts.imag), axis=1).astype(np.float32)
        self._full = float(np.square(window).sum())
        self._shared = np.square(window) @ np.cos(turns[:, 1] - turns[:, 0])
        powers = np.array([learnt.voice.harmonics[note][ranks - 1] for note in NEAR_NOTES])
        loudest = np.maximum(powers.max(axis=1, keepdims=True), FAINTEST)
        self._powers = np.maximum(powers, LEAST_HARMONIC * loudest)
        # A bin's power over white noise of variance 1 is that of the window, 1.5 bins wide.
        self._noise = float(learnt.ground.mean()) * window.sum() ** 2 / (4.0 * self._full)
        self._window = window

    def of(self, windows: Floats) -> NDArray[np.float64]:
        """Return the levels of F and high G in windows of samples, shape (windows, 2): 1 for as loud as was learnt."""
        parts = windows @ self._basis
        half = parts.shape[1] // 2
        heard = (parts[:, :half] + 1j * parts[:, half:]).reshape(-1, *self._shape)
        energy = np.square(windows * self._window.astype(np.float32)).mean(axis=1, dtype=np.float64)
        noise = (self._noise + LEAST_NOISE * energy)[:, np.newaxis]
        sure, shared = self._full / (2.0 * noise), self._shared / (2.0 * noise)
        levels = np.full((len(windows), 2), FIRST_LEVEL)
        for _ in range(ROUNDS):
            prior = 2.0 / (levels[:, :, np.newaxis] * self._powers)
            f, high_g = sure + prior[:, 0], sure + prior[:, 1]
            over = f * high_g - shared**2
            f_wave = (high_g * heard[:, 0] - shared * heard[:, 1]) / (over * noise)
            high_g_wave = (f * heard[:, 1] - shared * heard[:, 0]) / (over * noise)
            f_power = np.square(np.abs(f_wave)) + 2.0 * high_g / over
            high_g_power = np.square(np.abs(high_g_wave)) + 2.0 * f / over
            levels = (np.stack((f_power, high_g_power), axis=1) / self._powers).mean(axis=2)
        return levels
