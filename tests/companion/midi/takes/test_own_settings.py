"""What a learner said of a tune's setting holds for later takes, and is never lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.files.folders import OVERRIDE
from companion.midi.takes.own_settings import OwnSettings, own_settings_path, read_own_settings, write_own_setting
from companion.score.setting import Change
from fingering.errors import UserError
from fingering.notes import Note
from tests.companion.listen.playing import tune_of

ONE, OTHER = tune_of("A2B2c2d2|"), tune_of("d2c2B2A2|")
SETTING = (Change(1, Note.B, None), Change(2, Note.C, Note.D, (Note.HIGH_G,), (Note.E,)))


def test_it_is_kept_for_its_tune_and_for_no_other(tmp_path: Path) -> None:
    """Also beside the other's own."""
    path = tmp_path / "there" / "own.json"
    OwnSettings(path).change(ONE, SETTING)
    assert OwnSettings(path).of(ONE) == SETTING
    assert OwnSettings(path).of(OTHER) == ()
    write_own_setting(path, OTHER, SETTING[:1])
    assert OwnSettings(path).of(ONE) == SETTING
    assert OwnSettings(path).of(OTHER) == SETTING[:1]


def test_it_can_be_taken_back(tmp_path: Path) -> None:
    """The other's stays."""
    path = tmp_path / "own.json"
    own = OwnSettings(path)
    own.change(ONE, SETTING)
    own.change(OTHER, SETTING)
    own.change(ONE, ())
    assert own.of(ONE) == OwnSettings(path).of(ONE) == ()
    assert OwnSettings(path).of(OTHER) == SETTING


def test_two_programs_keep_what_either_said(tmp_path: Path) -> None:
    """Each reads the file anew before it writes."""
    path = tmp_path / "own.json"
    first, second = OwnSettings(path), OwnSettings(path)
    first.change(ONE, SETTING)
    second.change(OTHER, SETTING)
    assert len(read_own_settings(path)) == 2


@pytest.mark.parametrize(
    "spoilt",
    [
        "no JSON",
        '{"a": 3}',
        '{"a": {"x": {"asked": "A", "played": "B", "gracenotes": "", "added": ""}}}',
        '{"a": {"1": {"asked": "Q", "played": "B", "gracenotes": "", "added": ""}}}',
        '{"a": {"1": {"asked": "A", "played": "BB", "gracenotes": "", "added": ""}}}',
    ],
)
def test_a_spoilt_file_is_set_aside_and_not_lost(tmp_path: Path, spoilt: str) -> None:
    """A spoilt file is told of once and renamed, and a new file begins."""
    path = tmp_path / "own.json"
    path.write_text(spoilt)
    own = OwnSettings(path)
    assert "cannot be read" in own.trouble
    own.change(ONE, SETTING)
    assert OwnSettings(path).of(ONE) == SETTING
    assert (tmp_path / "own.json.unreadable").read_text() == spoilt


def test_where_it_cannot_be_kept_it_holds_until_the_program_ends(tmp_path: Path) -> None:
    """A file stands where the folder should be; or there is no home at all."""
    (tmp_path / "blocked").write_text("")
    for own in (OwnSettings(tmp_path / "blocked" / "own.json"), OwnSettings(None)):
        own.change(ONE, SETTING)
        assert own.of(ONE) == SETTING
        assert "it holds until the program ends" in own.trouble


def test_it_is_kept_with_the_takes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the folder that EIGHTHOLES_DATA names."""
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    assert own_settings_path().parent == tmp_path
    OwnSettings.at_home().change(ONE, SETTING)
    assert OwnSettings.at_home().of(ONE) == SETTING
    (tmp_path / "own-settings.json").write_text("[]")
    with pytest.raises(UserError, match="cannot be read"):
        read_own_settings(own_settings_path())
