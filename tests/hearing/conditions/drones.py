"""Drones beside a chanter: ours, or a sampled reed's held notes."""

from __future__ import annotations

import enum
from dataclasses import dataclass

import numpy as np

from companion.sound.voices import Drones
from tests.hearing.conditions.noise import sounding_rms
from tests.hearing.recording import RATE_HZ, Samples, decibels, rms
from tests.hearing.sources.fluid import BLOCK_FRAMES, FluidSynth
from tests.hearing.sources.gm import Reed

TENOR_SPREAD_CENTS = 1.0
SPOKEN_S = 0.3


class DroneSource(enum.Enum):
    """VOICES: companion.sound's. REEDS: three clarinets of the General MIDI sound font, held."""

    VOICES = "voices"
    REEDS = "reeds"


@dataclass(frozen=True, slots=True)
class DroneSound:
    """A bass and two tenors, two octaves and one below the pipe chanter's low A. level_db: over the chanter's."""

    source: DroneSource = DroneSource.VOICES
    level_db: float = -6.0


def with_drones(samples: Samples, pipe_low_a_hz: float, drones: DroneSound) -> Samples:
    """Mono samples at 48 kHz with drones that sound from beginning to end."""
    make = _voices if drones.source is DroneSource.VOICES else _reeds
    added = make(pipe_low_a_hz, len(samples))
    wanted = sounding_rms(samples, RATE_HZ) * decibels(drones.level_db)
    return samples + np.float32(wanted / max(1e-12, rms(added))) * added


def _voices(pipe_low_a_hz: float, frames: int) -> Samples:
    out = np.empty((frames, 2), np.float32)
    Drones(pipe_low_a_hz).write(out, 0, 1.0)
    mono: Samples = out.mean(axis=1, dtype=np.float32)
    return mono


def _reeds(pipe_low_a_hz: float, frames: int) -> Samples:
    """Each drone on a channel of its own, bent to pitch; cut where all of them speak already."""
    spoken = round(SPOKEN_S * RATE_HZ / BLOCK_FRAMES) * BLOCK_FRAMES
    parts = ((0.25, 0.0), (0.5, -TENOR_SPREAD_CENTS), (0.5, TENOR_SPREAD_CENTS))
    with FluidSynth(*(Reed.CLARINET for _ in parts)) as synth:
        for channel, (ratio, stray_cents) in enumerate(parts):
            pitch = 69.0 + 12.0 * float(np.log2(pipe_low_a_hz * ratio / 440.0))
            synth.bend(100.0 * (pitch - round(pitch)) + stray_cents, channel)
            synth.note_on(round(pitch), 90, channel)
        return synth.render(spoken + frames)[spoken:]
