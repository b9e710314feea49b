"""Takes drones out of a sound: steady lines at the harmonics of the bass drone, followed where a chanter leaves them
bare. Pure.

Drones hold their pitch while a chanter goes from note to note. So the level and phase of each line vary slowly, and
what a note adds to it does not last. What is to be known of the notes is where they lie and how strong they are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.hearing.intake.quantiles import column_quantiles
from companion.hearing.intake.runs import Floats

Envelopes = NDArray[np.complex128]
"""Amplitude and phase of each line at each moment, shape (moments, lines)."""

HIGHEST_HZ = 1_600.0
"""Lines above are left: two tenors 2 cents apart beat there faster than can be followed, and are soft."""

SEEN_S, SEEN_HOP_S = 4.0, 1.0
SEEN_QUANTILE = 0.25
"""A bass drone is looked for through windows of 4 s, in the quarter of them in which a bin is weakest: in which no note
sounded there."""

MOST_CENTS, STEP_CENTS = 30.0, 0.25
"""How far from a quarter of a pipe chanter's low A it is looked for, and in which steps."""

FIRST_LINES, MOST_LINES = 8, 12
ENOUGH_LINES, LEAST_RISE = 5, 2.3
"""A bass drone is there where five of its first eight lines stand 10 dB above what lies beside: a practice chanter's
low A that never stops has four of them, as tenors alone have."""

WINDOW_S, HOP_S = 0.100, 0.050
BLOCK_S, BESIDE_S = 10.0, 2.0
"""Through which windows lines are followed; how much is cleaned at once, with how much seen before and after it."""

SPREAD, LEAST_SPREAD_HZ = 0.0012, 0.12
"""How far (as a share of its frequency: 2 cents) a line goes to and fro within a minute, its beats with another tenor's
among that, and how far the lowest do: from players who tune until beats are slower than one in some seconds."""

STRAY, UNSEEN = 0.02, 1e6
"""The share of a line's power that is told by no neighbouring moment; and of what stands beside it, where only a part
of a window is seen."""


@dataclass(frozen=True, slots=True)
class SoundingTone:
    """A note of the chanter, from s to s of the samples. harmonics: the power of each, the fundamental first, as
    amplitudes squared."""

    begin_s: float
    stop_s: float
    hz: float
    harmonics: tuple[float, ...]


Tones = Callable[[Floats], Sequence[SoundingTone]]
"""Tells which notes sound in samples."""


def bass_drone(pieces: Sequence[Floats], rate_hz: float, about_hz: float) -> float | None:
    """The pitch of the bass drone whose harmonics sound all through a sound; None where none does.

    pieces: stretches of it. about_hz: a quarter of a pipe chanter's low A.
    """
    size = round(SEEN_S * rate_hz)
    per_hz = 2.0 * size / rate_hz
    highest_hz = (MOST_LINES + 1.0) * about_hz * 2.0 ** (MOST_CENTS / 1200.0)
    window = np.hanning(size)
    seen = []
    for piece in pieces:
        starts = range(0, max(1, len(piece) - size + 1), round(SEEN_HOP_S * rate_hz))
        seen += [_long_spectrum(piece[start : start + size], window)[: int(highest_hz * per_hz)] for start in starts]
    if not seen:
        return None
    logs = np.log(column_quantiles(np.array(seen), (SEEN_QUANTILE,))[0] + 1e-20)
    ranks = np.arange(1.0, MOST_LINES + 1.0)

    def heights(hz: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(np.interp(hz * per_hz, np.arange(len(logs)), logs), np.float64)

    options = about_hz * 2.0 ** (np.arange(-MOST_CENTS, MOST_CENTS + STEP_CENTS, STEP_CENTS) / 1200.0)
    found = float(options[int(heights(options[:, np.newaxis] * ranks).sum(axis=1).argmax())])
    first: NDArray[np.float64] = found * np.arange(1.0, FIRST_LINES + 1.0)
    rises = heights(first) - 0.5 * (heights(first + 0.3 * found) + heights(first - 0.3 * found))
    return found if int((rises > LEAST_RISE).sum()) >= ENOUGH_LINES else None


def _long_spectrum(samples: Floats, window: NDArray[np.float64]) -> NDArray[np.float64]:
    """The power by bin of half of what a window's length could part. window: for as many samples, if there are more."""
    own = window if len(samples) == len(window) else np.hanning(len(samples))
    spectrum = np.fft.rfft(samples * own, 2 * len(window))
    return np.asarray(spectrum.real**2 + spectrum.imag**2, np.float64)


class DroneRemover:
    """Takes the lines of drones out of a thinned sound, block by block; nothing is moved in time.

    tones: tells which notes sound in a stretch of it, drones and all.
    """

    def __init__(self, bass_hz: float, rate_hz: float, tones: Tones) -> None:
        self._rate_hz = rate_hz
        self._lines_hz: NDArray[np.float64] = bass_hz * np.arange(1.0, int(HIGHEST_HZ / bass_hz) + 1.0)
        self._tones = tones
        self._block, self._beside = round(BLOCK_S * rate_hz), round(BESIDE_S * rate_hz)
        self._held = np.zeros(0, np.float32)
        self._before = 0  # how many of the samples that are held were cleaned already

    def take_in(self, samples: Floats) -> Floats:
        """The next samples, cleaned; the last ones are kept back until what follows them is known."""
        self._held = np.concatenate((self._held, samples))
        done = []
        while len(self._held) >= self._before + self._block + self._beside:
            stop = self._before + self._block
            done.append(self._cleaned(self._held[: stop + self._beside])[self._before : stop])
            self._held = self._held[max(0, stop - self._beside) :]
            self._before = min(stop, self._beside)
        return np.concatenate((np.zeros(0, np.float32), *done))

    def rest(self) -> Floats:
        """What was kept back."""
        last = self._cleaned(self._held)[self._before :]
        self._held, self._before = np.zeros(0, np.float32), 0
        return last

    def _cleaned(self, samples: Floats) -> Floats:
        if len(samples) < round(WINDOW_S * self._rate_hz):
            return samples
        hop = round(HOP_S * self._rate_hz)
        hop_s = hop / self._rate_hz
        seen = _envelopes(samples, self._rate_hz, hop, self._lines_hz)
        beside = _power_beside(self._tones(samples), len(seen), hop_s, self._lines_hz)
        moments_s = np.arange(len(seen)) * hop_s
        length_s = len(samples) / self._rate_hz
        beside[(moments_s < 0.5 * WINDOW_S) | (moments_s > length_s - 0.5 * WINDOW_S)] = np.inf
        spreads_hz = np.maximum(LEAST_SPREAD_HZ, SPREAD * self._lines_hz)
        followed = [_followed(own, by, hz, hop_s) for own, by, hz in zip(seen.T, beside.T, spreads_hz, strict=True)]
        lines = _sounded(np.stack(followed, axis=1), self._rate_hz, hop, self._lines_hz)
        return (samples - lines[: len(samples)]).astype(np.float32)


def _sounded(lines: Envelopes, rate_hz: float, hop: int, lines_hz: NDArray[np.float64]) -> NDArray[np.float64]:
    """The sound of all lines together, in samples, from their first moment to the last."""
    parts = np.arange(hop) / hop
    turning = np.exp((2j * np.pi / rate_hz) * lines_hz[:, np.newaxis] * np.arange(hop))
    begun = np.exp((2j * np.pi * hop / rate_hz) * np.arange(len(lines) - 1)[:, np.newaxis] * lines_hz)
    # From moment to moment an envelope goes straight: a sum of what it was, going, and of what it will be, coming.
    heights = np.concatenate((lines[:-1] * begun, lines[1:] * begun), axis=1)
    shapes = np.concatenate((turning * (1.0 - parts), turning * parts))
    return np.asarray(heights.real @ shapes.real - heights.imag @ shapes.imag, np.float64).ravel()


def _envelopes(samples: Floats, rate_hz: float, hop: int, lines_hz: NDArray[np.float64]) -> Envelopes:
    """The amplitude and phase of each line every `hop` samples, from the first on, up to beyond the last."""
    size = round(WINDOW_S * rate_hz)
    firsts = np.arange(len(samples) // hop + 2) * hop
    padded = np.pad(samples, (size // 2, size + 2 * hop))
    window = np.hanning(size + 1)[:-1]
    times_s = (np.arange(size) - size // 2) / rate_hz
    basis = (2.0 / window.sum() * window)[:, np.newaxis] * np.exp(-2j * np.pi * times_s[:, np.newaxis] * lines_hz)
    seen = np.lib.stride_tricks.sliding_window_view(padded, size)[firsts] @ basis.astype(np.complex64)
    return np.asarray(seen * np.exp(-2j * np.pi * (firsts / rate_hz)[:, np.newaxis] * lines_hz), np.complex128)


def _power_beside(
    tones: Sequence[SoundingTone], moments: int, hop_s: float, lines_hz: NDArray[np.float64]
) -> NDArray[np.float64]:
    """What notes may add to each line at each moment, as power, shape (moments, lines): the more, the longer a note's
    harmonic stands where the line does, since then neighbouring moments are of one error."""
    at_s = np.arange(moments) * hop_s
    out = np.zeros((moments, len(lines_hz)))
    for tone in tones:
        away_hz = lines_hz[:, np.newaxis] - tone.hz * np.arange(1, len(tone.harmonics) + 1)
        length_s = tone.stop_s - tone.begin_s
        alike = np.maximum(1.0, length_s / hop_s / (1.0 + (2.0 * length_s * away_hz) ** 2))
        near = (at_s > tone.begin_s - 0.5 * WINDOW_S) & (at_s < tone.stop_s + 0.5 * WINDOW_S)
        out[near] += (np.array(tone.harmonics) * _hann_lobe(away_hz * WINDOW_S) * alike).sum(axis=1)
    return out


def _hann_lobe(bins: NDArray[np.float64]) -> NDArray[np.float64]:
    """The power that a sine leaves so many bins away through a Hann window (as `spectra.lobe` has it)."""
    over = 1.0 - bins * bins
    edge = np.abs(over) < 1e-3
    return np.asarray(np.where(edge, 0.5, np.sinc(bins) / np.where(edge, 1.0, over)) ** 2, np.float64)


def _followed(
    seen: NDArray[np.complex128], beside: NDArray[np.float64], spread_hz: float, hop_s: float
) -> NDArray[np.complex128]:
    """The likeliest course of one line: a Gaussian process that goes to and fro by so much, seen through what stands
    beside it (Rasmussen and Williams 2006, 2.2, from memory)."""
    powers = np.abs(seen) ** 2
    own = float(np.median(powers))
    bare = beside < own
    if bare.any():
        own = float(np.median(powers[bare]))
    ranks = np.arange(len(seen))
    away = ranks * (hop_s * 2.0 * np.pi * spread_hz)
    alike = np.exp(-0.5 * away * away)[np.abs(ranks[:, np.newaxis] - ranks)]
    noise = np.minimum((beside + 1e-12) / (own + 1e-12), UNSEEN) + STRAY
    noisy = alike.copy()
    noisy[ranks, ranks] += noise
    weights = np.linalg.solve(noisy, np.stack((seen.real, seen.imag), axis=1))
    course = alike @ weights
    return np.asarray(course[:, 0] + 1j * course[:, 1], np.complex128)
