"""What the program keeps lies where the system keeps such things, or all of it in one folder that the user names."""

from __future__ import annotations

import sys
from pathlib import Path

import platformdirs
import pytest
from platformdirs.macos import MacOS

from companion.files.folders import OVERRIDE, data_folder, settings_folder, takes_folder
from companion.window.play.settings.preferences import preferences_path
from fingering.errors import UserError

linux = pytest.mark.skipif(sys.platform != "linux", reason="the folders of Linux")


@pytest.fixture(autouse=True)
def _a_home(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in (OVERRIDE, "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", "/h")


@linux
def test_the_folders_of_a_home() -> None:
    """Source: XDG Base Directory Specification 0.8, the defaults where the variables are not set."""
    assert data_folder() == Path("/h/.local/share/eightholes")
    assert settings_folder() == Path("/h/.config/eightholes")


@linux
def test_the_variables_of_the_xdg_specification(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each moves its own folder, and no other."""
    monkeypatch.setenv("XDG_DATA_HOME", "/d")
    assert data_folder() == Path("/d/eightholes")
    assert settings_folder() == Path("/h/.config/eightholes")
    monkeypatch.setenv("XDG_CONFIG_HOME", "/c")
    assert settings_folder() == Path("/c/eightholes")


@linux
@pytest.mark.parametrize("value", ["", "d", "./d", "../d", "~/d"])
def test_what_is_no_absolute_path_is_ignored(value: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """XDG Base Directory Specification 0.8: "If an implementation encounters a relative path ... it should consider
    the path invalid and ignore it."
    """
    monkeypatch.setenv("XDG_DATA_HOME", value)
    monkeypatch.setenv("XDG_CONFIG_HOME", value)
    assert data_folder() == Path("/h/.local/share/eightholes")
    assert settings_folder() == Path("/h/.config/eightholes")


def test_our_own_variable_moves_takes_ports_and_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    """All that is kept, whatever the others say."""
    monkeypatch.setenv("XDG_DATA_HOME", "/d")
    monkeypatch.setenv("XDG_CONFIG_HOME", "/c")
    monkeypatch.setenv(OVERRIDE, "/mine")
    assert data_folder() == Path("/mine")
    assert takes_folder() == Path("/mine/takes")
    assert preferences_path() == Path("/mine/settings.json")


def test_our_own_variable_names_nothing_where_it_is_empty(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if it were not set."""
    before = data_folder(), settings_folder()
    monkeypatch.setenv(OVERRIDE, "")
    assert (data_folder(), settings_folder()) == before


def test_other_systems_keep_such_things_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a Mac in Application Support (Apple, File System Programming Guide, Library directories)."""
    monkeypatch.setattr(platformdirs, "PlatformDirs", MacOS)
    assert data_folder() == settings_folder() == Path("/h/Library/Application Support/eightholes")


def test_a_user_without_a_home_is_told_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """One of whom the system knows none."""

    def unknown(number: int) -> None:
        raise KeyError(number)

    pwd = pytest.importorskip("pwd")
    monkeypatch.setattr(pwd, "getpwuid", unknown)
    monkeypatch.delenv("HOME")
    with pytest.raises(UserError, match=OVERRIDE):
        data_folder()
    with pytest.raises(UserError, match=OVERRIDE):
        settings_folder()
