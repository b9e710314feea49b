"""The settings that the window keeps from one day to the next, in one small file that is never half written."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import Any, TypeVar

from companion.listen.strictness import Strictness
from companion.schedule.timing import Gracing
from companion.sound.live import Sounding
from companion.sound.settings import SoundSettings, Voice
from companion.window.display import Display, Hand, Print, Viewpoint
from companion.window.live_ear import EarSettings, Feedback
from companion.window.live_sound import LiveSettings
from companion.window.theme import THEMES
from fingering.errors import UserError
from fingering.notes import TUNINGS

Choice = TypeVar("Choice", bound=Enum)


@dataclass(frozen=True, slots=True)
class Preferences:
    """What is kept: the picture, the sounds, whether gracenotes slow down too. Tempo and slow-down go with a tune."""

    display: Display = field(default_factory=Display)
    sound: SoundSettings = field(default_factory=SoundSettings)
    gracing: Gracing = Gracing.STRETCH
    live: LiveSettings = field(default_factory=LiveSettings)
    ear: EarSettings = field(default_factory=EarSettings)


def preferences_path() -> Path:
    """The file: in $XDG_CONFIG_HOME, else in ~/.config (%APPDATA% on Windows)."""
    folder = os.environ.get("XDG_CONFIG_HOME") or os.environ.get("APPDATA") or str(Path.home() / ".config")
    return Path(folder) / "eightholes" / "settings.json"


def write_preferences(preferences: Preferences, path: Path) -> None:
    """Put the file in place whole, or leave the old one. Raises UserError where it cannot be written."""
    text = json.dumps(_to_plain(preferences), indent=2) + "\n"
    draft = path.with_name(path.name + ".new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with draft.open("w", encoding="utf-8") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        draft.replace(path)
    except OSError as error:
        raise UserError(
            f"settings cannot be kept ({error.strerror})", "they hold until the window closes", str(path)
        ) from None


def read_preferences(path: Path) -> Preferences:
    """What was kept, or the defaults where there is no file yet.

    A file that cannot be understood is set aside under another name. Raises UserError after that.
    """
    try:
        plain = json.loads(path.read_text(encoding="utf-8"))
        return _from_plain(plain)
    except FileNotFoundError:
        return Preferences()
    except (OSError, ValueError, TypeError, KeyError, AttributeError, UserError):
        raise _set_aside(path) from None


def _set_aside(path: Path) -> UserError:
    aside = path.with_name(path.name + ".unreadable")
    try:
        path.replace(aside)
        return UserError(
            "the settings could not be read", f"they start afresh; the old file is {aside.name}", str(path)
        )
    except OSError as error:
        return UserError(f"the settings could not be read ({error.strerror})", "they start afresh", str(path))


def _to_plain(preferences: Preferences) -> dict[str, dict[str, Any]]:
    display, sound = preferences.display, preferences.sound
    return {
        "display": {
            "theme": display.theme.name,
            "viewpoint": display.viewpoint.name,
            "upper_hand": display.upper_hand.name,
            "print": display.print.name,
        },
        "sound": {
            "voice": sound.voice.name,
            "low_a_hz": sound.low_a_hz,
            "tuning": sound.tuning.name,
            "chanter_level": sound.chanter_level,
            "drones_level": sound.drones_level,
            "metronome_level": sound.metronome_level,
        },
        "movement": {"gracing": preferences.gracing.name},
        "live": {"level": preferences.live.level, "way": preferences.live.way.name},
        "ear": {"feedback": preferences.ear.feedback.name, "strictness": preferences.ear.strictness.name},
    }


def _from_plain(plain: Mapping[str, Mapping[str, Any]]) -> Preferences:
    display, sound, live, ear = plain["display"], plain["sound"], plain.get("live"), plain.get("ear")
    return Preferences(
        Display(
            theme={theme.name: theme for theme in THEMES}[display["theme"]],
            viewpoint=_member(Viewpoint, display["viewpoint"]),
            upper_hand=_member(Hand, display["upper_hand"]),
            print=_member(Print, display["print"]),
        ),
        SoundSettings(
            voice=_member(Voice, sound["voice"]),
            low_a_hz=float(sound["low_a_hz"]),
            tuning={each.name: each for each in TUNINGS}[sound["tuning"]],
            chanter_level=float(sound["chanter_level"]),
            drones_level=float(sound["drones_level"]),
            metronome_level=float(sound["metronome_level"]),
        ),
        _member(Gracing, plain["movement"]["gracing"]),
        # Files of before there was playing in, or an ear, have no such parts.
        LiveSettings(float(live["level"]), _member(Sounding, live["way"])) if live else LiveSettings(),
        EarSettings(_member(Feedback, ear["feedback"]), _member(Strictness, ear["strictness"]))
        if ear
        else EarSettings(),
    )


def _member(kind: type[Choice], name: str) -> Choice:
    return kind[name]
