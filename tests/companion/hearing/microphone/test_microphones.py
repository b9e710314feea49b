"""Microphones that are not there, come and go, or bring more than can be heard: one line tells it, the rest goes on."""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from companion.__main__ import main
from companion.hearing.microphone import microphones as window_end
from companion.hearing.microphone.driver import JACK_INPUTS, MicrophoneDriver
from companion.hearing.microphone.source import MicrophoneState
from companion.midi.stream.messages import NoteOn
from fingering.errors import UserError
from tests.companion.hearing.microphone.room import (
    PERIOD,
    is_alive,
    microphones,
    only_jack,
    opened,
    process_of,
    until,
)
from tests.companion.midi.jack import ENVIRONMENT, connected, end_jackd, start_jackd
from tests.referees import require_file, require_program

pytestmark = pytest.mark.same_everywhere

FILE_MICROPHONE = "a file as a microphone"

ALSA = """
<{systems}>
pcm.filed {{
  type file
  slave.pcm "null"
  file "/dev/null"
  infile "{samples}"
  format raw
  hint {{ show on
    description "{name}" }}
}}
"""
"""A device of the ALSA library's own that brings what is in a file as fast as it is taken. Syntax: its own manual."""


@pytest.fixture
def server(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> str:
    """The name of a JACK server, which is the only sound system, and does not run yet."""
    only_jack(monkeypatch, tmp_path)
    name = f"eightholes-mic-{os.getpid()}"
    for key, value in {**ENVIRONMENT, "JACK_DEFAULT_SERVER": name}.items():
        monkeypatch.setenv(key, value)
    monkeypatch.setattr(window_end, "REFRESH_S", 0.1)
    return name


@contextlib.contextmanager
def running(server: str) -> Iterator[None]:
    """While it runs."""
    jackd = start_jackd(server, PERIOD)
    try:
        connected(jackd).close()
        yield
    finally:
        end_jackd(jackd, server)


def test_a_microphone_that_goes_comes_back(server: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A line says that it is gone; once it is there again it is listened to without a further word."""
    with microphones() as each:
        until(each, lambda: each.known)
        assert each.names == ()
        assert each.trouble == "this computer has no microphone; plug one in, or play on the computer's keys"
        source = each.listen(JACK_INPUTS)
        assert source.state is MicrophoneState.LOST
        assert source.trouble == f"{JACK_INPUTS} is not there; plug it in again"
        with running(server):
            until(each, lambda: source.state is MicrophoneState.WAITING)
            assert list(each.names) == [JACK_INPUTS]
            assert each.trouble == source.trouble == ""
            assert main(["ports", "--backend", "jack"]) == 0
            assert f"microphones:\n  {JACK_INPUTS}\n" in capsys.readouterr().out
        until(each, lambda: source.state is MicrophoneState.LOST)
        assert source.trouble == f"{JACK_INPUTS} is gone; plug it in again"
        with running(server):
            until(each, lambda: source.state is MicrophoneState.WAITING)
            assert source.trouble == ""


def test_without_miniaudio_one_line_says_so(server: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As where it is not installed: here one that cannot be loaded stands before it."""
    (tmp_path / "miniaudio.py").write_text("raise ImportError\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with microphones() as each:
        source = each.listen("any")
        until(each, lambda: each.known)
        assert each.trouble.startswith(
            "microphones need the Python package 'miniaudio', which is not there; install it: "
        )
        assert each.names == ()
        until(each, lambda: source.state is MicrophoneState.LOST)
        assert source.trouble == each.trouble


def test_a_microphone_that_brings_too_much_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A device a thousand times as fast as time: what is not heard is counted, nothing waits, and it can be left."""
    systems = require_file("/usr/share/alsa/alsa.conf")
    np.zeros(480, "<i2").tofile(tmp_path / "in.raw")
    words = ALSA.format(systems=systems, samples=tmp_path / "in.raw", name=FILE_MICROPHONE)
    only_jack(monkeypatch, tmp_path)
    (tmp_path / "alsa.conf").write_text(words)
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "none")
    with microphones() as each:
        source = opened(each, FILE_MICROPHONE)
        until(each, lambda: source.lost_s > 100.0)
        assert not [came for came in source.fetch() if isinstance(came.message, NoteOn)]
        number = process_of(each)
        began_s = time.monotonic()
    until(each, lambda: not is_alive(number))
    assert time.monotonic() - began_s < 5.0


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the systems' libraries are the system's own")
def test_looking_for_a_sound_system_that_does_not_run_costs_nothing_for_good(server: str) -> None:
    """Its library stays loaded from then on; one that was loaded anew each time ended the process after 340 times."""
    require_program("jackd")
    driver = MicrophoneDriver()
    for _ in range(2):
        with pytest.raises(UserError, match="no microphone"):
            driver.names()
        assert "libjack.so" in Path("/proc/self/maps").read_text()
