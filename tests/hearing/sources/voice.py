"""Sounds a take in the colours of our own voices, strayed by lot, with the noise of breath and fingers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from companion.sound.pitch import pitch_table
from companion.sound.settings import Voice
from companion.sound.tone import PHASE_SPREAD, Timbre
from companion.sound.voices import CHANTERS
from fingering.chart import sounded
from fingering.holes import HoleState
from tests.hearing.recording import RATE_HZ, Samples, decibels, generator
from tests.hearing.sources.blown import blown
from tests.hearing.sources.tuned import TunedChanter
from tests.hearing.truth import SoundingState

TABLE_FRAMES = 4096
KNEE_FACTORS = (0.7, 1.4)
EVEN_FACTORS = (0.5, 2.0)
BREATH_DB = (-55.0, -40.0)
FINGER_DB = (-45.0, -30.0)
FINGER_S = 0.003
"""How a voice's colour strays; the noise of breath and of a finger's touch, beside a tone of level 1: no source."""


def voice_samples(chanter: TunedChanter, voice: Voice, segments: Sequence[SoundingState], duration_s: float) -> Samples:
    """A take in one of our voices, mono."""
    random = generator(chanter.seed, "voice")
    timbre = _strayed(CHANTERS[voice].timbre, random)
    breath, touch = (decibels(random.uniform(*range_db)) for range_db in (BREATH_DB, FINGER_DB))
    out = np.zeros(round(duration_s * RATE_HZ))
    tables: dict[HoleState, NDArray[np.float64]] = {}
    for note in blown(chanter, segments):
        state = note.sounding.state
        if state not in tables:
            tables[state] = _table(chanter, voice, timbre, state)
        wave = _looked_up(tables[state], note.phase)
        wave += breath * random.standard_normal(len(wave))
        wave *= note.level
        count = min(len(wave), round(FINGER_S * RATE_HZ))
        wave[:count] += touch * random.standard_normal(count) * np.hanning(count)
        part = out[note.first : note.first + len(wave)]
        part += wave[: len(part)]
    return out.astype(np.float32)


def _strayed(timbre: Timbre, random: np.random.Generator) -> Timbre:
    even = min(1.0, timbre.even * random.uniform(*EVEN_FACTORS))
    return Timbre(timbre.slope, even, timbre.knee_hz * random.uniform(*KNEE_FACTORS))


def _table(chanter: TunedChanter, voice: Voice, timbre: Timbre, state: HoleState) -> NDArray[np.float64]:
    """One period, its first sample once more at the end: as companion.sound.tone makes it, with strayed harmonics."""
    amplitudes = timbre.amplitudes(chanter.hz(state))
    veil = pitch_table(chanter.tuning).veils[state]
    rank = np.arange(1, len(amplitudes) + 1)
    amplitudes = amplitudes * np.exp(-0.3 * veil * (rank - 1)) * chanter.harmonic_gains(state)[: len(rank)]
    bins = np.zeros(TABLE_FRAMES // 2 + 1, np.complex128)
    bins[rank] = amplitudes * np.exp(1j * np.pi * rank * (rank - 1) / PHASE_SPREAD)
    wave: NDArray[np.float64] = np.fft.irfft(bins, TABLE_FRAMES)
    level = CHANTERS[voice].balance[sounded(state)] * (1.0 - 0.5 * veil)
    wave *= level / np.max(np.abs(wave))
    return np.append(wave, wave[0])


def _looked_up(table: NDArray[np.float64], phase: NDArray[np.float64]) -> NDArray[np.float64]:
    at = (phase % 1.0) * TABLE_FRAMES
    whole = at.astype(np.int64)
    here = table[whole]
    looked_up: NDArray[np.float64] = here + (at - whole) * (table[whole + 1] - here)
    return looked_up
