"""Makes tones as loops of whole periods: computed once from their harmonics, then only copied."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.sound.settings import SAMPLE_RATE_HZ

# Rounding a loop of at least this many frames to a whole frame moves its pitch by less than 0.3 cents:
# 1200 / ln 2 * 0.5 / 2886.
MIN_LOOP_FRAMES = 2_886
MAX_LOOP_FRAMES = 6_000
TILED_FRAMES = SAMPLE_RATE_HZ

# Harmonics are taken down from the first of these frequencies to nothing at the second: no aliasing, nothing shrill.
TAPER_HZ = (10_000.0, 14_000.0)
# A phase that grows with the square of the rank spreads the energy over the period, so that a bright tone has no spike
# (Schroeder 1970, IEEE Trans. Inf. Theory 16:85, from memory). The same for all notes: cross-fades stay in step.
PHASE_SPREAD = 24.0


@dataclass(frozen=True, slots=True)
class Timbre:
    """A tone colour. The amplitude of harmonic k falls as k ** -slope and twice as steeply again above `knee_hz`.

    even: gain of the even harmonics, near 0 for a closed cylinder.
    """

    slope: float
    even: float
    knee_hz: float

    def amplitudes(self, fundamental_hz: float) -> NDArray[np.float64]:
        """Amplitudes of harmonics 1, 2, ... up to the end of the taper."""
        rank = np.arange(1.0, max(2, math.ceil(TAPER_HZ[1] / fundamental_hz)))
        hz = rank * fundamental_hz
        amplitudes: NDArray[np.float64] = rank**-self.slope / (1.0 + (hz / self.knee_hz) ** 2) * _taper(hz)
        amplitudes[1::2] *= self.even
        return amplitudes


def _taper(hz: NDArray[np.float64]) -> NDArray[np.float64]:
    low, high = TAPER_HZ
    depth = np.clip((hz - low) / (high - low), 0.0, 1.0)
    faded: NDArray[np.float64] = np.cos(0.5 * np.pi * depth) ** 2
    return faded


def place_harmonics(bins: NDArray[np.complex128], amplitudes: NDArray[np.float64], periods: int) -> None:
    """Add harmonics to a half spectrum (of np.fft.rfft) in which the fundamental is bin `periods`."""
    rank = np.arange(1, len(amplitudes) + 1)
    bins[rank * periods] += amplitudes * np.exp(1j * np.pi * rank * (rank - 1) / PHASE_SPREAD)


@dataclass(frozen=True, slots=True, eq=False)
class Loop:
    """A tone of `periods` periods in `frames` frames, repeated in `samples` (float32, mono) for at least a second."""

    frames: int
    periods: int
    samples: NDArray[np.float32]

    @property
    def frequency_hz(self) -> float:
        """The exact pitch of the loop."""
        return SAMPLE_RATE_HZ * self.periods / self.frames

    def phase_at(self, frame: int) -> float:
        """The phase of the tone at `frame`, 0 to 1."""
        return (frame * self.periods / self.frames) % 1.0

    def frame_at(self, phase: float) -> int:
        """The first frame of the loop at which the tone has the phase `phase` (0 to 1)."""
        return round(phase * self.frames / self.periods)

    def add_to(self, out: NDArray[np.float32], frame: int) -> None:
        """Add the tone to `out`, beginning at `frame` of the endless loop."""
        at = 0
        frame %= self.frames
        whole = len(self.samples) // self.frames * self.frames
        while at < len(out):
            count = min(len(out) - at, whole - frame)
            out[at : at + count] += self.samples[frame : frame + count]
            at, frame = at + count, 0

    def cut(self, frame: int, count: int) -> NDArray[np.float32]:
        """`count` frames of the tone, beginning at `frame` of the endless loop."""
        out = np.zeros(count, np.float32)
        self.add_to(out, frame)
        return out


def make_loop(frequency_hz: float, timbre: Timbre, *, peak: float = 1.0, veil: float = 0.0) -> Loop:
    """A loop of that pitch (within 0.3 cents), colour and greatest sample.

    veil: 0 to 1, how weak the resonance is: a veiled tone is softer and duller.
    """
    frames, periods = _whole_periods(SAMPLE_RATE_HZ / frequency_hz)
    amplitudes = timbre.amplitudes(frequency_hz)
    amplitudes *= np.exp(-0.3 * veil * np.arange(len(amplitudes)))
    bins = np.zeros(frames // 2 + 1, np.complex128)
    place_harmonics(bins, amplitudes, periods)
    wave = with_peak(np.fft.irfft(bins, frames), peak * (1.0 - 0.5 * veil))
    return Loop(frames, periods, np.tile(wave, math.ceil(TILED_FRAMES / frames)))


def _whole_periods(period_frames: float) -> tuple[int, int]:
    """Frames and periods of the loop whose length is nearest to a whole number of frames."""
    fewest = math.ceil(MIN_LOOP_FRAMES / period_frames)
    most = max(fewest, math.floor(MAX_LOOP_FRAMES / period_frames))

    def error(periods: int) -> float:
        length = periods * period_frames
        return abs(round(length) - length) / length

    periods = min(range(fewest, most + 1), key=error)
    return round(periods * period_frames), periods


def with_peak(wave: NDArray[np.float64], peak: float) -> NDArray[np.float32]:
    """The wave as float32 with `peak` as its greatest absolute sample."""
    scaled: NDArray[np.float64] = wave * (peak / np.max(np.abs(wave)))
    return scaled.astype(np.float32)
