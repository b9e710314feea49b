"""Reads and writes the settings that the window keeps from one day to the next, in one small file."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from companion.files.folders import settings_folder
from companion.files.keeping import read_kept, write_kept
from companion.files.kept_json import Table
from companion.listen.model.strictness import Strictness
from companion.schedule.bars import Ticking
from companion.schedule.practice.rounds import Rest
from companion.schedule.timing import Gracing
from companion.sound.settings import LEVEL_RANGE, LOW_A_RANGE_HZ, LatencyMode, LiveSettings, SoundSettings, Voice
from companion.window.core.display import Display, Hand, Notation, Print, Viewpoint
from companion.window.core.theme import THEMES
from companion.window.lanes.told import EarSettings, Feedback
from fingering.notes import TUNINGS

_WHAT = "the settings"


@dataclass(frozen=True, slots=True)
class Preferences:
    """The settings that are kept: picture, sounds, whether gracenotes slow down too, the rest between rounds.

    Tempo and slow-down are not, nor what is repeated.
    """

    display: Display = field(default_factory=Display)
    sound: SoundSettings = field(default_factory=SoundSettings)
    gracing: Gracing = Gracing.STRETCH
    live: LiveSettings = field(default_factory=LiveSettings)
    ear: EarSettings = field(default_factory=EarSettings)
    rest: Rest = Rest.NONE


def preferences_path() -> Path:
    """Where the file of the settings is kept. Raises UserError."""
    return settings_folder() / "settings.json"


def write_preferences(preferences: Preferences, path: Path) -> None:
    """Write the settings, whole or not at all. Raises UserError where they cannot be written."""
    write_kept(path, _to_plain(preferences), _from_table, _WHAT)


def read_preferences(path: Path) -> Preferences:
    """Read the settings; the defaults where there is no file yet.

    A file that cannot be understood is renamed, so that nothing is lost. Raises UserError after that.
    """
    return read_kept(path, _from_table, _WHAT) or Preferences()


def _to_plain(preferences: Preferences) -> dict[str, dict[str, Any]]:
    display, sound = preferences.display, preferences.sound
    return {
        "display": {
            "theme": display.theme.name,
            "viewpoint": display.viewpoint.name,
            "upper_hand": display.upper_hand.name,
            "print": display.print.name,
            "introduced": display.introduced,
            "notation": display.notation.name,
        },
        "sound": {
            "voice": sound.voice.name,
            "low_a_hz": sound.low_a_hz,
            "tuning": sound.tuning.name,
            "chanter_level": sound.chanter_level,
            "drones_level": sound.drones_level,
            "metronome_level": sound.metronome_level,
            "pulse": sound.pulse.name,
        },
        "movement": {"gracing": preferences.gracing.name},
        "live": {"level": preferences.live.level, "way": preferences.live.way.name},
        "ear": {"feedback": preferences.ear.feedback.name, "strictness": preferences.ear.strictness.name},
        "rounds": {"rest": preferences.rest.name},
    }


def _from_table(plain: Table) -> Preferences:
    # Files of before there was playing in, an ear or a rest have no such parts.
    return Preferences(
        _display(plain.table("display")),
        _sound(plain.table("sound")),
        plain.table("movement").one_of("gracing", Gracing.__members__),
        _live(plain.table("live")) if plain.has("live") else LiveSettings(),
        _ear(plain.table("ear")) if plain.has("ear") else EarSettings(),
        plain.table("rounds").one_of("rest", Rest.__members__) if plain.has("rounds") else Rest.NONE,
    )


def _display(plain: Table) -> Display:
    # Files of before there was a staff do not tell of it.
    return Display(
        theme=plain.one_of("theme", {theme.name: theme for theme in THEMES}),
        viewpoint=plain.one_of("viewpoint", Viewpoint.__members__),
        upper_hand=plain.one_of("upper_hand", Hand.__members__),
        print=plain.one_of("print", Print.__members__),
        introduced=plain.has("introduced") and plain.flag("introduced"),
        notation=plain.one_of("notation", Notation.__members__) if plain.has("notation") else Notation.STAFF,
    )


def _sound(plain: Table) -> SoundSettings:
    # Files of before there were parts of a beat do not tell of them.
    return SoundSettings(
        voice=plain.one_of("voice", Voice.__members__),
        low_a_hz=plain.number("low_a_hz", *LOW_A_RANGE_HZ),
        tuning=plain.one_of("tuning", {tuning.name: tuning for tuning in TUNINGS}),
        chanter_level=plain.number("chanter_level", *LEVEL_RANGE),
        drones_level=plain.number("drones_level", *LEVEL_RANGE),
        metronome_level=plain.number("metronome_level", *LEVEL_RANGE),
        pulse=plain.one_of("pulse", Ticking.__members__) if plain.has("pulse") else Ticking.BEATS,
    )


def _live(plain: Table) -> LiveSettings:
    return LiveSettings(plain.number("level", *LEVEL_RANGE), plain.one_of("way", LatencyMode.__members__))


def _ear(plain: Table) -> EarSettings:
    return EarSettings(
        plain.one_of("feedback", Feedback.__members__), plain.one_of("strictness", Strictness.__members__)
    )
