"""Sounds a take by a General MIDI reed: one held note, bent to each pitch of the scale, so that it is legato.

A sampled reed has the colour, the attack and the vibrato of a real one. Each breath is one note held at the middle of
the scale; the pitches are bends, which take 2 to 6 ms to glide as a chanter's do. What fluidsynth needs to speak after
a silence is measured in its own sound and told in the truth.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from fingering.holes import HoleState
from tests.hearing.recording import RATE_HZ, Samples, generator
from tests.hearing.sources.blown import breaths
from tests.hearing.sources.fluid import BLOCK_FRAMES, FluidSynth
from tests.hearing.sources.tuned import TRANSITION_S, TunedChanter
from tests.hearing.truth import SoundingState

DRIFT_STEP_S = 0.05
SPEAKS_AT = 0.01
"""A sound begins where it passes this share of its own greatest sample: 40 dB below it, no source."""


class Reed(enum.IntEnum):
    """General MIDI programs, counted from 0 (General MIDI 1, from memory)."""

    OBOE = 68
    CLARINET = 71
    BAGPIPE = 109
    SHANAI = 111


def gm_samples(
    chanter: TunedChanter, reed: Reed, segments: Sequence[SoundingState], duration_s: float
) -> tuple[Samples, tuple[SoundingState, ...]]:
    """A take by a sampled reed, mono, and what sounds in it, as it truly began."""
    frames = round(duration_s * RATE_HZ)
    blocks = [np.zeros(0, np.float32)]
    at, told = 0, []
    centre = _centre(chanter)
    random = generator(chanter.seed, "reed")
    with FluidSynth(reed) as synth:
        for breath in breaths(segments):
            begin, end = (_block(each) for each in (breath[0].onset_s, breath[-1].stop_s))
            blocks.append(synth.render(begin - at))
            at = begin
            first_block = len(blocks)
            for frame, cents in _bends(chanter, breath, centre, random):
                blocks.append(synth.render(frame - at))
                at = frame
                synth.bend(cents)
                if frame == begin:
                    synth.note_on(centre)
            blocks.append(synth.render(end - at))
            at = end
            synth.note_off(centre)
            told += _as_spoken(breath, np.concatenate(blocks[first_block:]))
        blocks.append(synth.render(max(0, frames - at)))
    return np.concatenate(blocks)[:frames], tuple(told)


def _centre(chanter: TunedChanter) -> int:
    """The key at the middle of the scale, from which every pitch is within an octave."""
    return round(69.0 + 12.0 * math.log2(chanter.low_a_hz * math.sqrt(2.0) / 440.0))


def _block(at_s: float) -> int:
    """The frame of fluidsynth's block nearest to a moment."""
    return round(at_s * RATE_HZ / BLOCK_FRAMES) * BLOCK_FRAMES


def _bends(
    chanter: TunedChanter, breath: list[SoundingState], centre: int, random: np.random.Generator
) -> Iterator[tuple[int, float]]:
    """At which frames (whole blocks, rising) the bend becomes how many cents."""
    before: float | None = None
    for each in breath:
        onset, stop = _block(each.onset_s), _block(each.stop_s)
        cents = _cents(chanter, each.state, centre)
        steps = max(1, round(random.uniform(*TRANSITION_S) * RATE_HZ / BLOCK_FRAMES)) if before is not None else 1
        start = cents if before is None else before
        for step in range(1, steps + 1):
            frame = onset + (step - 1) * BLOCK_FRAMES
            yield frame, start + (cents - start) * step / steps + _drift(chanter, frame)
        every = round(DRIFT_STEP_S * RATE_HZ / BLOCK_FRAMES) * BLOCK_FRAMES
        for frame in range(onset + steps * BLOCK_FRAMES, stop, every):
            yield frame, cents + _drift(chanter, frame)
        before = cents


def _cents(chanter: TunedChanter, state: HoleState, centre: int) -> float:
    return float(1200.0 * np.log2(chanter.hz(state) / 440.0) - 100.0 * (centre - 69))


def _drift(chanter: TunedChanter, frame: int) -> float:
    return float(chanter.slow_drift_cents(frame / RATE_HZ))


def _as_spoken(breath: list[SoundingState], sound: Samples) -> list[SoundingState]:
    """The states at the blocks in which they began, the first when the instrument speaks.

    What had stopped before the instrument spoke never sounded.
    """
    loud = np.flatnonzero(np.abs(sound) > SPEAKS_AT * np.max(np.abs(sound)))
    begin_s = _block(breath[0].onset_s) / RATE_HZ
    spoken_s = begin_s + (int(loud[0]) if loud.size else len(sound)) / RATE_HZ
    timed = [
        replace(each, onset_s=max(spoken_s, _block(each.onset_s) / RATE_HZ), stop_s=_block(each.stop_s) / RATE_HZ)
        for each in breath
    ]
    return [each for each in timed if each.stop_s > each.onset_s]
