"""Sounds a take as reed pulses that blow a bore: the reference chanter's, with the holes as they stand.

The pulses are filtered by the input impedance of the bore for each hole state (fingering.acoustics.ladder), so that a
tone builds up and dies away as the bore's resonances let it, and a crossing has the colour of its own hole state. No
reed is solved for: the pitch of the pulses is the frozen table's. What leaves the holes is taken as the pressure in the
reed's cup with low frequencies radiated less.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve

from fingering.acoustics.calibrate import LOW_A_HZ
from fingering.acoustics.ladder import Model, input_impedance
from fingering.acoustics.sounding import reference_chanter
from fingering.holes import Finger, HoleState
from tests.hearing.recording import RATE_HZ, Samples, decibels, generator
from tests.hearing.sources.blown import blown
from tests.hearing.sources.tuned import TunedChanter
from tests.hearing.truth import SoundingState

RESPONSE_FRAMES = 4800
"""100 ms: after that a resonance of Q 15 at 237 Hz has died away by 20 / ln(10) pi f t / Q, 43 dB."""

DUTY = (0.30, 0.45)
REED_KNEE_HZ = (1_500.0, 3_500.0)
HIGHEST_HZ = 14_000.0
RADIATION_HZ = 2_000.0
BREATH_DB = (-45.0, -30.0)
"""For how much of a period the reed lets air through, from where its pulses are rounded; from where all is radiated
alike; the noise in the flow: common practice, no source."""


def bore_samples(chanter: TunedChanter, segments: Sequence[SoundingState], duration_s: float) -> Samples:
    """A take as a blown bore, mono. It should be an octave below the pipe chanter: the bore is a practice chanter's."""
    random = generator(chanter.seed, "reed")
    duty, knee_hz = random.uniform(*DUTY), random.uniform(*REED_KNEE_HZ)
    breath = decibels(random.uniform(*BREATH_DB))
    states = sorted({each.state for each in segments})
    responses = dict(zip(states, impulse_responses(chanter, states), strict=True))
    out = np.zeros(round(duration_s * RATE_HZ) + RESPONSE_FRAMES)
    for note in blown(chanter, segments):
        state = note.sounding.state
        flow = _pulses(note.phase, chanter.hz(state), duty, knee_hz)
        flow += breath * random.standard_normal(len(flow))
        wave = fftconvolve(flow * note.level, responses[state])
        part = out[note.first : note.first + len(wave)]
        part += wave[: len(part)]
    return out[: round(duration_s * RATE_HZ)].astype(np.float32)


def impulse_responses(chanter: TunedChanter, states: Sequence[HoleState]) -> NDArray[np.float64]:
    """What the bore answers to a pulse of flow, one row of RESPONSE_FRAMES samples for each state."""
    hz = np.fft.rfftfreq(RESPONSE_FRAMES, 1.0 / RATE_HZ)
    model_hz = np.maximum(hz, hz[1]) * (LOW_A_HZ / chanter.low_a_hz)
    closed = np.array([[state.closed(finger) for state in states] for finger in Finger])
    columns = np.repeat(model_hz[:, np.newaxis], len(states), axis=1)
    impedance = input_impedance(Model(reference_chanter(chanter.tuning)), closed, columns)
    radiated = 1j * hz / (1j * hz + RADIATION_HZ) * np.clip((HIGHEST_HZ - hz) / 2_000.0, 0.0, 1.0)
    responses: NDArray[np.float64] = np.fft.irfft((impedance * radiated[:, np.newaxis]).T, RESPONSE_FRAMES)
    responses /= np.max(np.abs(responses))
    return responses


def _pulses(phase: NDArray[np.float64], hz: float, duty: float, knee_hz: float) -> NDArray[np.float64]:
    """Rounded pulses with a duty cycle, without any harmonic above HIGHEST_HZ."""
    frames = 4096
    rank = np.arange(1, int(HIGHEST_HZ / hz) + 1)
    bins = np.zeros(frames // 2 + 1)
    bins[rank] = np.sinc(rank * duty) / (1.0 + (rank * hz / knee_hz) ** 2)
    wave = np.fft.irfft(bins, frames)
    table = np.append(wave, wave[0]) / np.max(np.abs(wave))
    pulses: NDArray[np.float64] = np.interp((phase % 1.0) * frames, np.arange(frames + 1), table)
    return pulses
