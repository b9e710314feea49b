"""Mixing: gains that cannot clip, and cross-fades that cannot click."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.sound.settings import FADE_FRAMES, SoundSettings

# The greatest sample of a tune, and of a live chanter beside it: together they stay below full scale in the mixer.
TUNE_CEILING = 0.55
LIVE_CEILING = 0.40

RISE: NDArray[np.float32] = (np.sin(0.5 * np.pi * (np.arange(FADE_FRAMES) + 0.5) / FADE_FRAMES) ** 2).astype(np.float32)
FALL: NDArray[np.float32] = 1.0 - RISE
RISE.flags.writeable = FALL.flags.writeable = False


@dataclass(frozen=True, slots=True)
class Gains:
    """The factors by which each voice (of greatest sample 1) enters the mix."""

    chanter: float
    drones: float
    metronome: float


def limited(settings: SoundSettings, ceiling: float) -> Gains:
    """The gains for the levels that are set, all lowered by one factor where their sum could pass `ceiling`.

    Every voice's greatest sample is known beforehand, so the worst case is known too, and no sample needs bending when
    it happens: the sound stays clean at any setting.
    """
    total = settings.chanter_level + settings.drones_level + settings.metronome_level
    scale = ceiling / max(1.0, total)
    return Gains(settings.chanter_level * scale, settings.drones_level * scale, settings.metronome_level * scale)


def crossfade(old: NDArray[np.float32], new: NDArray[np.float32], done: int = 0) -> int:
    """Fade `old` into `new`, in place in `new`, from frame `done` of the fade on; returns how far the fade is then.

    Both mono (n,) or both stereo (n, 2); `old` may be shorter, if it reaches the end of the fade.
    """
    count = min(FADE_FRAMES - done, len(new))
    shape = (count,) + (1,) * (new.ndim - 1)
    new[:count] *= RISE[done : done + count].reshape(shape)
    new[:count] += old[:count] * FALL[done : done + count].reshape(shape)
    return done + count


def rise_from(begin: int, start: int, frames: int) -> NDArray[np.float32]:
    """How far a fade that begins at frame `begin` has risen at frames start, start + 1, ...: 0 before, 1 after it."""
    at = np.arange(start - begin, start - begin + frames)
    return np.where(at < 0, 0.0, np.where(at < FADE_FRAMES, RISE[at.clip(0, FADE_FRAMES - 1)], 1.0)).astype(np.float32)


def to_int16(samples: NDArray[np.float32]) -> NDArray[np.int16]:
    """Samples of -1 to 1 as 16-bit integers."""
    scaled = samples * np.float32(32_767.0)
    np.rint(scaled, out=scaled)
    return scaled.astype(np.int16)
