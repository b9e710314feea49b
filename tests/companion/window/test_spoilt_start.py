"""The window opens whatever its own files hold, and whatever fails while it opens it ends in words."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.midi.maps.memory import PortMemory, read_memory
from companion.window.play.settings.preferences import Preferences, read_preferences, write_preferences
from fingering.errors import UserError
from tests.companion.loaded import Ended, Loaded

ROOT = Path(__file__).resolve().parents[3]

# The real window, with its sound and its ports, for ten frames; then what it tells the user, and Escape.
OPENED = """
import sys
from companion.window import program, shell
really, frames, notices = shell.Shell.frame, [], set()
def frame(self):
    frames.append(1)
    notices.add(self._screens[0].state.notice)
    return really(self) and len(frames) < 10
shell.Shell.frame = frame
from companion.__main__ import main
status = main(["show", "--paused", *sys.argv[1:]])
print(len(frames), *sorted(notices), sep="|")
sys.exit(status)
"""

FAILING = """
from companion.window.live import instruments
def fail(*words):
    raise RuntimeError("what nobody foresaw")
instruments.Instruments = fail
from companion.__main__ import main
main(["show"])
"""


Opened = Callable[..., Ended]


@pytest.fixture
def opened(loaded: Loaded, tmp_path: Path) -> Opened:
    """The window in a process of its own, on a dummy screen."""
    env = {**os.environ, "EIGHTHOLES_DATA": str(tmp_path), "SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy"}
    return lambda script: loaded.run(script=script, folder=ROOT, env=env)


def test_whoever_opens_it_for_the_first_time_is_told_what_it_means_once(tmp_path: Path, opened: Opened) -> None:
    """That it was told is kept, though nothing else was set."""
    assert opened(OPENED).status == 0
    assert read_preferences(tmp_path / "settings.json").display.introduced


@pytest.mark.parametrize(
    "text",
    [
        '{"ports": {"a": {"map": null, "channel": "x", "last_used": "2026-01-01T00:00:00+00:00"}}}',
        '{"ports": {"a": {"map": null, "channel": null, "last_used": "0001-01-01T00:00:00"}}}',
        '{"ports": ' + "[" * 100_000,
    ],
    ids=["a channel of words", "the year 1", "nested deeply"],
)
def test_spoilt_ports_cost_a_line_and_not_the_window(text: str, tmp_path: Path, opened: Opened) -> None:
    """The year 1 and what was nested deeply ended it by a segmentation fault."""
    (tmp_path / "ports.json").write_text(text)
    done = opened(OPENED)
    assert done.status == 0, done.told
    assert done.out.startswith("10|")
    assert "what is known of the MIDI ports cannot be read" in done.out
    assert (tmp_path / "ports.json.unreadable").read_text() == text
    assert "Traceback" not in done.told


def test_spoilt_settings_cost_a_line_and_not_the_window(tmp_path: Path, opened: Opened) -> None:
    """They start afresh."""
    path = tmp_path / "settings.json"
    path.write_text('{"display": NaN}')
    done = opened(OPENED)
    assert done.status == 0, done.told
    assert "the settings cannot be read (NaN is no number)" in done.out
    assert path.with_name("settings.json.unreadable").exists()


def test_what_nobody_foresaw_is_no_segmentation_fault(opened: Opened) -> None:
    """The sound's thread had outlived its device."""
    done = opened(FAILING)
    assert done.status == 1
    assert done.told.splitlines()[-1] == "RuntimeError: what nobody foresaw"


@pytest.mark.parametrize(
    ("key", "value"),
    [("low_a_hz", 4800.0), ("low_a_hz", "480"), ("chanter_level", -1), ("drones_level", 1.01), ("voice", ["PIPE"])],
)
def test_settings_out_of_reach_are_refused(key: str, value: object, tmp_path: Path) -> None:
    """By the ranges of the command line's options."""
    path = tmp_path / "settings.json"
    write_preferences(Preferences(), path)
    plain = json.loads(path.read_text())
    plain["sound"][key] = value
    path.write_text(json.dumps(plain))
    with pytest.raises(UserError, match=f"'{key}'"):
        read_preferences(path)


@settings(max_examples=200)
@given(st.data())
def test_spoilt_bytes_are_a_value_or_a_user_error(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Settings and ports, cut off and changed anywhere, or any bytes at all; nothing is lost."""
    folder = tmp_path_factory.mktemp("kept")
    path = folder / "ports.json"
    ports = b'{"ports": {"a": {"map": {"holes": []}, "channel": 3, "last_used": "2026-01-01T00:00:00+00:00"}}}'
    write_preferences(Preferences(), path)
    whole = data.draw(st.sampled_from([ports, path.read_bytes()]))
    spoilt = bytearray(whole[: data.draw(st.integers(0, len(whole)))])
    for _ in range(data.draw(st.integers(0, 3)) if spoilt else 0):
        spoilt[data.draw(st.integers(0, len(spoilt) - 1))] = data.draw(st.integers(0, 255))
    written = bytes(spoilt) or data.draw(st.binary(max_size=100))
    for read, kind in ((lambda: read_memory(folder), PortMemory), (lambda: read_preferences(path), Preferences)):
        for left in folder.iterdir():
            left.unlink()
        path.write_bytes(written)
        told = ""
        try:
            assert isinstance(read(), kind)
        except UserError as error:
            told = str(error)
        assert told.isprintable()
        assert [each.read_bytes() for each in folder.iterdir()] == [written]
