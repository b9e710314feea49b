"""Two windows at once keep their things in the same folders, and lose nothing of each other's."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from companion.files import locking
from companion.midi.maps.memory import read_memory
from companion.midi.takes.reading import list_takes, read_take
from companion.window.play.settings.preferences import read_preferences
from fingering.errors import UserError
from tests.companion.commands.program import GIVES_UP_S, ROOT, environment

MANY = 40

KEEPS = f"""
import sys
from datetime import datetime, UTC
from pathlib import Path
from companion.midi.ports.driver import Backend
from companion.midi.takes.heading import Heading
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOn
from companion.midi.maps.note_map import NoteMap, Spelling
from companion.midi.takes.recorder import Recorder
from companion.sound.settings import SoundSettings
from companion.window.live.instruments import Instruments
from companion.window.play.settings.preferences import Preferences, write_preferences

folder, name, low_a = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
print("ready", flush=True)
sys.stdin.readline()
instruments = Instruments(folder, Backend.SYSTEM)
for number in range({MANY}):
    instruments.learn(f"{{name}} {{number}}", NoteMap.of(low_a, Spelling.SHARPS))
    write_preferences(Preferences(sound=SoundSettings(low_a_hz=441.0 + low_a % 40)), folder / "settings.json")
    recorder = Recorder(folder / "takes", Heading(datetime(2026, 11, 28, tzinfo=UTC), name), began_s=0.0)
    recorder.add(Timed(0.5, NoteOn(0, low_a)))
    recorder.finish(1.0)
instruments.close()
"""
"""A window's way of keeping ports, settings and takes, over and over."""


@pytest.fixture
def kept_by_two(tmp_path: Path) -> Path:
    """The folder into which two windows have kept their things at the same time; settings were read meanwhile."""
    windows = []
    for name, low_a in (("left", "57"), ("right", "69")):
        command = [sys.executable, "-P", "-c", KEEPS, str(tmp_path), name, low_a]
        pipe = subprocess.PIPE
        windows.append(subprocess.Popen(command, cwd=ROOT, env=environment(), stdin=pipe, stdout=pipe, text=True))
    for window in windows:
        assert window.stdout is not None
        window.stdout.readline()
    for window in windows:
        assert window.stdin is not None
        window.stdin.write("\n")
        window.stdin.flush()
    while any(window.poll() is None for window in windows):
        read_preferences(tmp_path / "settings.json")
    for window in windows:
        window.communicate(timeout=GIVES_UP_S)
        assert window.returncode == 0
    return tmp_path


def test_nothing_is_lost(kept_by_two: Path) -> None:
    """Every port that either learnt, and every take, though all began in the same second; the settings are whole."""
    memory = read_memory(kept_by_two)
    assert set(memory.ports) == {f"{name} {number}" for name in ("left", "right") for number in range(MANY)}
    takes = list_takes(kept_by_two / "takes")
    assert not takes.problems
    sources = [read_take(take.path).heading.source for take in takes.takes]
    assert sorted(sources) == ["left"] * MANY + ["right"] * MANY
    assert read_preferences(kept_by_two / "settings.json").sound.low_a_hz in (441.0 + 57 % 40, 441.0 + 69 % 40)
    left = {path.name for path in kept_by_two.iterdir()}
    assert left == {"ports.json", ".ports.json.lock", "settings.json", "takes"}


def test_a_lock_that_is_not_given_back_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By a window that hangs: another one says so, and goes on."""
    monkeypatch.setattr(locking, "_WAITS_S", 0.05)
    path = tmp_path / "ports.json"
    with locking.locked(path), pytest.raises(UserError, match="another window"):
        _lock(path)
    _lock(path)


def _lock(path: Path) -> None:
    with locking.locked(path):
        pass
