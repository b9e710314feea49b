"""Whatever the disk refuses, every output is whole or not there, the old file stays, and one line says so."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.window.play.settings.preferences import Preferences, write_preferences
from fingering.errors import UserError
from tests.companion.faults import DISK_ERRORS, break_call, break_writes, system_error
from tests.companion.window.players import write_take

TUNE = "X:1\nT:A\nM:4/4\nL:1/8\nQ:1/4=240\nK:HP\nA2 {g}c2 e2 a2|]\n"
OLD = b"what was there before"
SYSTEM_CALLS = ("fsync", "replace")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A tune, a take of it, and nothing else."""
    monkeypatch.chdir(tmp_path)
    Path("a.abc").write_text(TUNE)
    tune = read_abc_text(TUNE).tunes[0]
    write_take(tmp_path, tune, build_schedule(tune, Timing()), Timing(), DEFAULT_MAP).rename("a.mid")
    return tmp_path


COMMANDS = {
    "wav": ("sound", "a.abc", "-o", "x.wav"),
    "png": ("picture", "a.abc", "-o", "x.png"),
    "html": ("judge", "a.abc", "a.mid", "--html", "x.html"),
}


def fail_by(monkeypatch: pytest.MonkeyPatch, way: str, number: int) -> None:
    """Have the first write fail, a later one, or a call of the system."""
    if way in SYSTEM_CALLS:
        return break_call(monkeypatch, way, partial(system_error, number))
    return break_writes(monkeypatch, partial(system_error, number), after=0 if way == "first write" else 1)


@pytest.mark.parametrize("kind", COMMANDS)
@pytest.mark.parametrize("number", DISK_ERRORS, ids=os.strerror)
@pytest.mark.parametrize("way", ["first write", *SYSTEM_CALLS])
def test_a_command_writes_whole_or_not_at_all(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], kind: str, number: int, way: str
) -> None:
    """The old file stays, no draft is left, and the exit status is 2."""
    before = {each.name for each in folder.iterdir()}
    path = folder / f"x.{kind}"
    path.write_bytes(OLD)
    fail_by(monkeypatch, way, number)
    assert main([*COMMANDS[kind], "--force"]) == 2
    monkeypatch.undo()
    (line,) = capsys.readouterr().err.splitlines()
    assert f"this cannot be written ({os.strerror(number).lower()}); choose another name or folder" in line
    assert path.read_bytes() == OLD
    assert {each.name for each in folder.iterdir()} == before | {path.name}


@pytest.mark.parametrize("kind", COMMANDS)
def test_the_same_commands_write_where_the_disk_does(folder: Path, kind: str) -> None:
    """So the faults above are what stopped them."""
    assert main(COMMANDS[kind]) == 0
    assert (folder / f"x.{kind}").stat().st_size > 100


@pytest.mark.parametrize("number", DISK_ERRORS, ids=os.strerror)
@pytest.mark.parametrize("way", ["first write", *SYSTEM_CALLS])
def test_settings_are_the_old_ones_or_the_new_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, way: str
) -> None:
    """Byte for byte."""
    path = tmp_path / "settings.json"
    write_preferences(Preferences(), path)
    old = path.read_bytes()
    fail_by(monkeypatch, way, number)
    with pytest.raises(UserError, match="the settings cannot be kept"):
        write_preferences(Preferences(), path)
    assert path.read_bytes() == old
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("write", COMMANDS.values(), ids=COMMANDS)
def test_a_folder_without_room_for_a_name(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], write: tuple[str, ...]
) -> None:
    """Where no file can be made at all, it is refused before the work."""
    really: Callable[..., int] = os.open

    def refuse(path: str, flags: int, *mode: int, **more: int) -> int:
        if flags & os.O_CREAT:
            raise system_error(DISK_ERRORS[0])
        return really(path, flags, *mode, **more)

    monkeypatch.setattr(os, "open", refuse)
    assert main(write) == 2
    monkeypatch.undo()
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert not list(folder.glob("x.*"))
