"""One voice of the tune alone: drones or chanter, while the levels stay as they are set."""

from __future__ import annotations

import enum
from dataclasses import replace

from companion.sound.settings import DEFAULT_CHANTER_LEVEL, DEFAULT_DRONES_LEVEL, SoundSettings


class Solo(enum.Enum):
    """Which of the tune's voices sounds alone; the metronome is no voice, and stays as it is set."""

    NONE = "none"
    DRONES = "drones"
    CHANTER = "chanter"


def sounding(sound: SoundSettings, solo: Solo) -> SoundSettings:
    """The sound that is heard: of one voice alone at its own level, and at the usual one where that is silent."""
    match solo:
        case Solo.NONE:
            return sound
        case Solo.DRONES:
            return replace(sound, chanter_level=0.0, drones_level=sound.drones_level or DEFAULT_DRONES_LEVEL)
        case Solo.CHANTER:
            return replace(sound, drones_level=0.0, chanter_level=sound.chanter_level or DEFAULT_CHANTER_LEVEL)
