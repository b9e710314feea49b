"""How a chanter is blown: the one phase that goes on through all notes of a breath, and how one becomes the next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.hearing.recording import RATE_HZ, generator
from tests.hearing.sources.tuned import TRANSITION_S, TunedChanter
from tests.hearing.truth import SoundingState

Floats = NDArray[np.float64]

BLOW_IN_S = (0.015, 0.040)
BLOW_OUT_S = (0.010, 0.030)
BLOW_IN_CENTS = (-80.0, -20.0)
"""How long the sound takes to come and go where it is blown anew, and how flat it begins: no source."""

GLIDE_CENTS = 20.0
SETTLING_S = (0.003, 0.008)
OVERSHOOT = 0.25
"""What a note is off in pitch and level as it begins, and the time constant of its settling: 10 to 15 ms in all, as
the quality of the bore's resonances has it (fingering.acoustics)."""

SETTLED_CONSTANTS = 10.0
SWELL_S = 0.001


@dataclass(frozen=True, slots=True, eq=False)
class BlownNote:
    """One state as it sounds: where its samples begin, and by sample the phase of its tone (periods) and its level.

    The levels of all notes of a breath add up to what is blown, so that the sound never stops between them.
    """

    sounding: SoundingState
    first: int
    phase: Floats
    level: Floats


def blown(chanter: TunedChanter, segments: Sequence[SoundingState]) -> Iterator[BlownNote]:
    """Every state of a take as it sounds."""
    random = generator(chanter.seed, "blowing")
    for breath in breaths(segments):
        yield from _breath(chanter, breath, random)


def breaths(segments: Sequence[SoundingState]) -> Iterator[list[SoundingState]]:
    """What sounds without a silence in it."""
    group: list[SoundingState] = []
    for each in segments:
        if group and each.onset_s - group[-1].stop_s > 1e-6:
            yield group
            group = []
        group.append(each)
    if group:
        yield group


def _breath(chanter: TunedChanter, breath: list[SoundingState], random: np.random.Generator) -> Iterator[BlownNote]:
    """The states of one breath. Each is written where it sounds alone, so that a long breath costs no more."""
    out_frames = round(random.uniform(*BLOW_OUT_S) * RATE_HZ)
    onsets = [round(each.onset_s * RATE_HZ) for each in breath]
    end = round(breath[-1].stop_s * RATE_HZ) + out_frames
    first, frames = onsets[0], end - onsets[0]
    level = np.ones(frames)
    level[-out_frames:] -= _rise(out_frames)
    hz, cents = np.empty(frames), chanter.drift_cents(np.arange(first, end) / RATE_HZ)
    rises, before_hz = [], 0.0
    for rank, (each, onset) in enumerate(zip(breath, onsets, strict=True)):
        here = slice(onset - first, frames)
        length = (onsets[rank + 1] if rank + 1 < len(onsets) else end) - onset
        lasts_s = random.uniform(*(TRANSITION_S if rank else BLOW_IN_S))
        rise = _rise(min(round(lasts_s * RATE_HZ), length))
        rises.append(rise)
        own_hz = chanter.hz(each.state)
        hz[here] = own_hz
        if rank:
            hz[here][: len(rise)] += (before_hz - own_hz) * (1.0 - rise)
        before_hz = own_hz
        settling = _settling(random)
        count = min(len(settling), frames - here.start)
        level[here][:count] *= 1.0 + random.uniform(-OVERSHOOT, OVERSHOOT) * _swell(count) * settling[:count]
        flat = random.uniform(-GLIDE_CENTS, GLIDE_CENTS) if rank else random.uniform(*BLOW_IN_CENTS)
        cents[here][:count] += flat * settling[:count]
    phase = random.uniform() + np.cumsum(hz * 2.0 ** (cents / 1200.0)) / RATE_HZ
    for rank, (each, onset) in enumerate(zip(breath, onsets, strict=True)):
        begin = onset - first
        fall = rises[rank + 1] if rank + 1 < len(rises) else np.empty(0)
        stop = onsets[rank + 1] - first + len(fall) if rank + 1 < len(onsets) else frames
        gate = level[begin:stop].copy()
        gate[: len(rises[rank])] *= rises[rank]
        gate[len(gate) - len(fall) :] *= 1.0 - fall
        yield BlownNote(each, onset, phase[begin:stop], gate)


def _rise(frames: int) -> Floats:
    """From 0 to 1 as the square of a sine: a fall and a rise add up to 1."""
    risen: Floats = np.sin(0.5 * np.pi * np.arange(frames) / max(1, frames)) ** 2
    return risen


def _settling(random: np.random.Generator) -> Floats:
    """From 1 towards 0, with a time constant drawn by lot."""
    constant = random.uniform(*SETTLING_S) * RATE_HZ
    settled: Floats = np.exp(-np.arange(round(SETTLED_CONSTANTS * constant)) / constant)
    return settled


def _swell(frames: int) -> Floats:
    """From 0 to 1 within a few ms, so that what is multiplied by it does not click."""
    swollen: Floats = 1.0 - np.exp(-np.arange(frames) / (SWELL_S * RATE_HZ))
    return swollen
