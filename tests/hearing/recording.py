"""A recording with its truth."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.hearing.truth import SoundingState, TrueNote, true_notes

RATE_HZ = 48_000
"""The rate at which all sources sound."""

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class TrueRecording:
    """Sound and what sounds in it.

    samples: float32, -1 to 1, shape (n,) mono or (n, 2) stereo. segments: what sounds, timed from the first sample, as
    it truly began in the sound. low_a_hz: the sounding low A. notes_hz: the sounding pitch of the nine notes, low G
    first, before any drift.
    """

    samples: Samples
    rate_hz: int
    segments: tuple[SoundingState, ...]
    low_a_hz: float
    notes_hz: tuple[float, ...]

    @property
    def notes(self) -> tuple[TrueNote, ...]:
        """The truth as notes."""
        return true_notes(self.segments)

    @property
    def duration_s(self) -> float:
        """Its length."""
        return len(self.samples) / self.rate_hz


def generator(seed: int, purpose: str) -> np.random.Generator:
    """Random numbers of their own for each purpose, the same for the same seed."""
    return np.random.default_rng((seed, zlib.crc32(purpose.encode())))


def decibels(gain_db: float) -> float:
    """The factor on amplitude of a gain in dB."""
    return float(10.0 ** (gain_db / 20.0))


def rms(samples: NDArray[np.floating]) -> float:
    """The root mean square of all samples."""
    return float(np.sqrt(np.mean(np.square(samples, dtype=np.float64)))) if samples.size else 0.0
