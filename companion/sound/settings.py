"""The sound settings, with all their defaults and ranges."""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace

from companion.schedule.bars import Ticking
from fingering.errors import UserError
from fingering.notes import HARMONIC, Tuning

SAMPLE_RATE_HZ = 48_000
FADE_FRAMES = round(0.005 * SAMPLE_RATE_HZ)
HALF_FADE = FADE_FRAMES // 2

DEFAULT_LOW_A_HZ = 480.0
LOW_A_RANGE_HZ = (440.0, 490.0)
LEVEL_RANGE = (0.0, 1.0)  # silent to as loud as it goes

DEFAULT_CHANTER_LEVEL = 0.5
DEFAULT_DRONES_LEVEL = 0.25
DEFAULT_METRONOME_LEVEL = 0.25

HEARING_CAUTION = (
    "Keep headphones low: the program cannot know how loud its sound is at your ear. "
    "Start low, take breaks, and turn down if your ears ring or voices seem dull."
)


class Voice(enum.Enum):
    """PRACTICE: the practice chanter, soft and an octave lower. PIPE: the full pipe's chanter, bright."""

    PRACTICE = "practice"
    PIPE = "pipe"


class LatencyMode(enum.Enum):
    """The two ways to sound what is played in: STREAMING is clean, LOW_LATENCY sooner."""

    STREAMING = "streaming"
    LOW_LATENCY = "low latency"


@dataclass(frozen=True, slots=True)
class SoundSettings:
    """Everything that turns a schedule into samples.

    low_a_hz: the pipe chanter's low A, 440 to 490; the practice chanter sounds an octave below it, the tenor drones an
    octave and the bass drone two octaves, whichever chanter plays. Levels: 0 (silent) to 1. pulse: what the metronome
    ticks.
    """

    voice: Voice = Voice.PRACTICE
    low_a_hz: float = DEFAULT_LOW_A_HZ
    tuning: Tuning = HARMONIC
    chanter_level: float = DEFAULT_CHANTER_LEVEL
    drones_level: float = DEFAULT_DRONES_LEVEL
    metronome_level: float = 0.0
    pulse: Ticking = Ticking.BEATS

    def __post_init__(self) -> None:
        low, high = LOW_A_RANGE_HZ
        if not low <= self.low_a_hz <= high:
            raise UserError(f"a low A of {self.low_a_hz:g} Hz is out of reach", f"choose {low:g} to {high:g} Hz")
        for part, level in self.levels.items():
            if not LEVEL_RANGE[0] <= level <= LEVEL_RANGE[1]:
                raise UserError(f"a {part} level of {level:g} is out of reach", "choose 0 (silent) to 1")

    @property
    def levels(self) -> dict[str, float]:
        """The three levels by name."""
        return {"chanter": self.chanter_level, "drones": self.drones_level, "metronome": self.metronome_level}


@dataclass(frozen=True, slots=True)
class LiveSettings:
    """How what is played in sounds: at which level, 0 where the instrument makes its own sound, and which way."""

    level: float = DEFAULT_CHANTER_LEVEL
    way: LatencyMode = LatencyMode.STREAMING


def live_settings(sound: SoundSettings, level: float, *, drones: bool) -> SoundSettings:
    """The sound of the live chanter: its own level, and the drones only where no tune sounds them already."""
    return replace(sound, chanter_level=level, drones_level=sound.drones_level if drones else 0.0, metronome_level=0.0)
