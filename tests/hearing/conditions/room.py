"""A room as an impulse response: the direct sound, first reflections by image sources, then decaying noise.

The six first reflections of a shoebox room are image sources (Allen & Berkley 1979, from memory); what follows is noise
that decays exponentially by 60 dB in the time asked for. Direct and reverberant energy stand in the ratio that Sabine's
diffuse field gives at the microphone's distance: the critical distance is 0.057 sqrt(V / RT60) (Kuttruff, Room
Acoustics, from memory). The direct sound is sample 0: a room moves no onset.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import oaconvolve

from tests.hearing.recording import Samples, generator

SOUND_M_S = 346.0
SIZE_M = (5.2, 4.1, 2.5)
"""A living room: common practice, no source."""

TAIL_RT60S = 1.1
MIXING_S = 0.008
REFLECTION = 0.8
"""How many RT60s are kept, when the noise begins, and what a wall leaves of a wave: no source."""


@dataclass(frozen=True, slots=True)
class RecordingRoom:
    """A room of a reverberation time (s), and how far the microphone is (m)."""

    rt60_s: float
    distance_m: float = 1.0

    @property
    def direct_to_reverberant_db(self) -> float:
        """Direct over reverberant energy at the microphone, in dB."""
        critical_m = 0.057 * float(np.sqrt(np.prod(SIZE_M) / self.rt60_s))
        return float(20.0 * np.log10(critical_m / self.distance_m))


def impulse_response(room: RecordingRoom, rate_hz: int, seed: int) -> NDArray[np.float64]:
    """The response at the microphone, the direct sound as 1 at sample 0."""
    random = generator(seed, "room")
    frames = round(TAIL_RT60S * room.rt60_s * rate_hz)
    times_s = np.arange(frames) / rate_hz
    tail = random.standard_normal(frames) * 10.0 ** (-3.0 * times_s / room.rt60_s)
    tail *= np.clip(times_s / MIXING_S, 0.0, 1.0)
    wanted = 10.0 ** (-room.direct_to_reverberant_db / 10.0)
    early = _reflections(room, rate_hz, frames, random)
    left = max(0.25 * wanted, wanted - float(np.sum(early**2)))
    reverberant: NDArray[np.float64] = early + tail * np.sqrt(left / np.sum(tail**2))
    reverberant *= np.sqrt(wanted / np.sum(reverberant**2))
    reverberant[0] += 1.0
    return reverberant


def _reflections(room: RecordingRoom, rate_hz: int, frames: int, random: np.random.Generator) -> NDArray[np.float64]:
    """One reflection from each of six walls; player and microphone stand somewhere in the middle of the room."""
    size = np.array(SIZE_M)
    player = size * random.uniform(0.3, 0.7, 3)
    towards = random.standard_normal(3)
    microphone = np.clip(player + room.distance_m * towards / np.linalg.norm(towards), 0.2, size - 0.2)
    direct_m = float(np.linalg.norm(microphone - player))
    out = np.zeros(frames)
    for axis in range(3):
        for wall_m in (0.0, size[axis]):
            image = player.copy()
            image[axis] = 2.0 * wall_m - player[axis]
            path_m = float(np.linalg.norm(microphone - image))
            at = round((path_m - direct_m) / SOUND_M_S * rate_hz)
            if 0 < at < frames:
                out[at] += REFLECTION * direct_m / path_m
    return out


def in_room(samples: Samples, rate_hz: int, room: RecordingRoom, seed: int) -> Samples:
    """What the microphone hears of mono samples; as long as they are."""
    heard = oaconvolve(samples.astype(np.float64), impulse_response(room, rate_hz, seed))[: len(samples)]
    return np.asarray(heard, np.float32)
