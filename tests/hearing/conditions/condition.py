"""A condition: all that happens to a dry recording, in the order in which it happens in the world."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tests.hearing.conditions.codec import through_mp3
from tests.hearing.conditions.drones import DroneSound, DroneSource, with_drones
from tests.hearing.conditions.microphone import (
    DULL,
    TELEPHONE,
    MicrophoneResponse,
    in_stereo,
    resampled,
    through_microphone,
)
from tests.hearing.conditions.noise import BackgroundNoise, NoiseColour, with_noise
from tests.hearing.conditions.room import RecordingRoom, in_room
from tests.hearing.recording import RATE_HZ, TrueRecording, decibels

PIPE_LOW_A_FROM_HZ = 350.0
"""A low A below this is a practice chanter's, whose drones are those of a pipe chanter an octave above it."""


@dataclass(frozen=True, slots=True)
class RecordingCondition:
    """Drones beside the chanter, both in a room, noise, the microphone, its gain (clipped at full scale), the codec.

    mp3_kbit_s: through MP3 at that rate, which knows sample rates from 8 to 48 kHz.
    """

    name: str
    drones: DroneSound | None = None
    room: RecordingRoom | None = None
    noise: BackgroundNoise | None = None
    microphone: MicrophoneResponse | None = None
    gain_db: float = 0.0
    rate_hz: int = RATE_HZ
    stereo: bool = False
    mp3_kbit_s: int | None = None


def recorded(dry: TrueRecording, condition: RecordingCondition, seed: int) -> TrueRecording:
    """A dry recording (mono, 48 kHz) as it is heard under a condition. The truth stays: nothing moves it in time."""
    samples = dry.samples
    if condition.drones:
        pipe_hz = dry.low_a_hz if dry.low_a_hz > PIPE_LOW_A_FROM_HZ else 2.0 * dry.low_a_hz
        samples = with_drones(samples, pipe_hz, condition.drones)
    if condition.room:
        samples = in_room(samples, RATE_HZ, condition.room, seed)
    if condition.noise:
        samples = with_noise(samples, RATE_HZ, condition.noise, seed)
    if condition.microphone:
        samples = through_microphone(samples, RATE_HZ, condition.microphone)
    peak = float(np.max(np.abs(samples), initial=0.0))
    samples = samples * np.float32(decibels(condition.gain_db) * min(1.0, 0.9 / max(peak, 1e-9)))
    samples = resampled(np.clip(samples, -1.0, 1.0), RATE_HZ, condition.rate_hz)
    if condition.stereo:
        samples = in_stereo(samples, condition.rate_hz)
    if condition.mp3_kbit_s:
        samples = through_mp3(samples, condition.rate_hz, condition.mp3_kbit_s)
    return replace(dry, samples=np.ascontiguousarray(samples, np.float32), rate_hz=condition.rate_hz)


DRY = RecordingCondition("dry")
_ROOM = RecordingRoom(0.4)
_HALL = RecordingRoom(0.8)


def _noisy(colour: NoiseColour, snr_db: float) -> RecordingCondition:
    return RecordingCondition(f"{colour.value} {snr_db:g} dB", noise=BackgroundNoise(colour, snr_db))


CONDITIONS = (
    DRY,
    RecordingCondition("room 0.4 s", room=_ROOM),
    RecordingCondition("room 0.4 s, at 50 cm", room=RecordingRoom(0.4, 0.5)),
    RecordingCondition("room 0.8 s", room=_HALL),
    RecordingCondition("room 0.8 s, at 30 cm", room=RecordingRoom(0.8, 0.3)),
    *(_noisy(NoiseColour.WHITE, snr_db) for snr_db in (25.0, 15.0, 10.0)),
    *(_noisy(NoiseColour.PINK, snr_db) for snr_db in (25.0, 10.0)),
    *(_noisy(NoiseColour.BABBLE, snr_db) for snr_db in (15.0, 10.0)),
    _noisy(NoiseColour.HUM, 15.0),
    RecordingCondition("mp3 96", mp3_kbit_s=96, rate_hz=44_100),
    RecordingCondition("drones", drones=DroneSound()),
    RecordingCondition("reed drones", drones=DroneSound(DroneSource.REEDS, 0.0)),
    RecordingCondition("telephone 16 kHz", microphone=TELEPHONE, gain_db=-20.0, rate_hz=16_000),
    RecordingCondition("8 kHz", rate_hz=8_000),
    RecordingCondition("96 kHz stereo", rate_hz=96_000, stereo=True),
    RecordingCondition("clipped", gain_db=18.0),
    RecordingCondition(
        "room, babble 15 dB, dull, mp3",
        room=_ROOM,
        noise=BackgroundNoise(NoiseColour.BABBLE, 15.0),
        microphone=DULL,
        rate_hz=44_100,
        stereo=True,
        mp3_kbit_s=96,
    ),
    RecordingCondition(
        "drones, room 0.8 s, pink 15 dB, telephone",
        drones=DroneSound(),
        room=_HALL,
        noise=BackgroundNoise(NoiseColour.PINK, 15.0),
        microphone=TELEPHONE,
        gain_db=-12.0,
        rate_hz=44_100,
    ),
)
"""What a hearing is tried under."""
