"""Noise beside a chanter, at a given signal-to-noise ratio."""

from __future__ import annotations

import enum
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from tests.hearing.recording import Samples, decibels, generator, rms

TALKERS = 6
SYLLABLES_HZ = (3.0, 6.0)
VOICES_HZ = (90.0, 240.0)
FORMANTS_HZ = ((300.0, 800.0), (900.0, 2_300.0), (2_400.0, 3_200.0))
MAINS_HZ = 50.0
HUM_HARMONICS = 12
"""A babble of talkers, each buzzing in syllables with moving formants; the hum of the mains: common practice, no
source."""


class NoiseColour(enum.Enum):
    """WHITE; PINK (3 dB less for each octave); BABBLE (several at talk); HUM (of the mains)."""

    WHITE = "white"
    PINK = "pink"
    BABBLE = "babble"
    HUM = "hum"


@dataclass(frozen=True, slots=True)
class BackgroundNoise:
    """Noise of a colour. snr_db: root mean square of what sounds, where it does, over that of the noise."""

    colour: NoiseColour
    snr_db: float


def noise_samples(colour: NoiseColour, frames: int, rate_hz: int, seed: int) -> Samples:
    """Noise with a root mean square of 1, mono."""
    random = generator(seed, f"{colour.value} noise")
    noise = _MAKERS[colour](random, frames, rate_hz)
    return (noise / max(1e-12, rms(noise))).astype(np.float32)


def with_noise(samples: Samples, rate_hz: int, noise: BackgroundNoise, seed: int) -> Samples:
    """Mono samples with noise beside them."""
    wanted = sounding_rms(samples, rate_hz) * decibels(-noise.snr_db)
    added = noise_samples(noise.colour, len(samples), rate_hz, seed)
    return samples + np.float32(wanted) * added


def sounding_rms(samples: Samples, rate_hz: int) -> float:
    """The root mean square where anything sounds: of blocks of 20 ms within 40 dB of the loudest."""
    block = max(1, round(0.02 * rate_hz))
    whole = len(samples) // block * block
    if not whole:
        return rms(samples)
    power = np.mean(np.square(samples[:whole].reshape(-1, block), dtype=np.float64), axis=1)
    return float(np.sqrt(np.mean(power[power >= 1e-4 * np.max(power)])))


def _white(random: np.random.Generator, frames: int, rate_hz: int) -> NDArray[np.float64]:
    return random.standard_normal(frames)


def _pink(random: np.random.Generator, frames: int, rate_hz: int) -> NDArray[np.float64]:
    bins = np.fft.rfft(random.standard_normal(frames))
    hz = np.fft.rfftfreq(frames, 1.0 / rate_hz)
    return np.fft.irfft(bins / np.sqrt(np.maximum(hz, 20.0)), frames)


def _babble(random: np.random.Generator, frames: int, rate_hz: int) -> NDArray[np.float64]:
    out = np.zeros(frames)
    for _ in range(TALKERS):
        out += _talker(random, frames, rate_hz)
    return out


def _talker(random: np.random.Generator, frames: int, rate_hz: int) -> NDArray[np.float64]:
    """A buzz whose pitch, formants and loudness change with every syllable, some of them silent."""
    base_hz = random.uniform(*VOICES_HZ)
    out = np.zeros(frames)
    at, phase = 0, 0.0
    while at < frames:
        count = min(frames - at, round(rate_hz / random.uniform(*SYLLABLES_HZ)))
        hz = base_hz * 2.0 ** np.linspace(random.uniform(-0.3, 0.3), random.uniform(-0.3, 0.3), count)
        periods = phase + np.cumsum(hz) / rate_hz
        phase = float(periods[-1])
        buzz = np.diff(np.floor(periods), prepend=np.floor(periods[0])) + 0.02 * random.standard_normal(count)
        for low, high in FORMANTS_HZ:
            buzz = _resonance(buzz, random.uniform(low, high), rate_hz)
        if random.random() < 0.8:
            out[at : at + count] = buzz / max(1e-12, rms(buzz)) * np.hanning(count) * random.uniform(0.4, 1.0)
        at += count
    return out


def _resonance(samples: NDArray[np.float64], hz: float, rate_hz: int) -> NDArray[np.float64]:
    radius = np.exp(-np.pi * 120.0 / rate_hz)
    poles = [1.0, -2.0 * radius * np.cos(2.0 * np.pi * min(hz, 0.45 * rate_hz) / rate_hz), radius**2]
    return np.asarray(lfilter([1.0 - radius], poles, samples))


def _hum(random: np.random.Generator, frames: int, rate_hz: int) -> NDArray[np.float64]:
    times_s = np.arange(frames) / rate_hz
    out = 0.03 * random.standard_normal(frames)
    for rank in range(1, HUM_HARMONICS + 1):
        level = random.uniform(0.3, 1.0) / rank
        out += level * np.sin(2.0 * np.pi * (MAINS_HZ * rank * times_s + random.uniform()))
    return out


_MAKERS = {NoiseColour.WHITE: _white, NoiseColour.PINK: _pink, NoiseColour.BABBLE: _babble, NoiseColour.HUM: _hum}
