"""Settings are kept from one day to the next."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from companion.schedule.timing import Gracing
from companion.sound.settings import LatencyMode, LiveSettings, SoundSettings, Voice
from companion.window.core.display import Display, Hand, Print, Viewpoint
from companion.window.core.theme import NIGHT
from companion.window.play.settings.preferences import Preferences, read_preferences, write_preferences
from fingering.errors import UserError

ALL_OTHER = Preferences(
    Display(NIGHT, Viewpoint.ONLOOKER, Hand.RIGHT, Print.BIG),
    SoundSettings(voice=Voice.PIPE, low_a_hz=470.0, chanter_level=0.0, drones_level=1.0, metronome_level=0.5),
    Gracing.CRISP,
    LiveSettings(0.0, LatencyMode.LOW_LATENCY),
)


def test_what_is_written_is_read(tmp_path: Path) -> None:
    """Every setting, none at its default."""
    path = tmp_path / "new" / "settings.json"
    write_preferences(ALL_OTHER, path)
    assert read_preferences(path) == ALL_OTHER


def test_settings_of_before_there_was_playing_in_are_still_read(tmp_path: Path) -> None:
    """They only lack how it sounds, which is then as it comes."""
    path = tmp_path / "settings.json"
    write_preferences(ALL_OTHER, path)
    plain = json.loads(path.read_text())
    del plain["live"]
    path.write_text(json.dumps(plain))
    kept = read_preferences(path)
    assert kept.live == LiveSettings()
    assert kept.sound == ALL_OTHER.sound


def test_a_file_that_cannot_be_understood_is_set_aside(tmp_path: Path) -> None:
    """The file is renamed with its contents, and the error says to which name."""
    path = tmp_path / "settings.json"
    path.write_text('{"display": 1}')
    with pytest.raises(UserError, match=r"start afresh: the old file is kept as settings\.json\.unreadable"):
        read_preferences(path)
    assert (tmp_path / "settings.json.unreadable").read_text() == '{"display": 1}'
    assert read_preferences(path) == Preferences()
