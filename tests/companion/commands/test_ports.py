"""`eightholes ports` where there are no ports. With real ports: tests/companion/midi/ports/test_ports.py."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from companion.__main__ import main


def test_without_python_rtmidi_there_are_the_systems_ports(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """As on Python 3.13, for which it is not ready made; here one that cannot be loaded stands before it."""
    (tmp_path / "rtmidi.py").write_text("raise ImportError\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    assert main(["ports"]) == 0
    told = capsys.readouterr()
    assert told.out.startswith("to play in from:\n")
    assert told.err == ""


def test_without_python_rtmidi_one_line_says_that_jack_needs_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """None in sys.modules makes an import fail."""
    monkeypatch.setitem(sys.modules, "rtmidi", None)
    assert main(["ports", "--backend", "jack"]) == 2
    told = capsys.readouterr().err
    assert told.startswith("eightholes: JACK's MIDI ports need python-rtmidi")
    assert told.count("\n") == 1


def test_without_a_midi_system_one_line_says_so(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """No JACK server of that name runs; what the C library writes itself stays off the terminal."""
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "no such server")
    monkeypatch.setenv("JACK_NO_START_SERVER", "1")
    assert main(["ports", "--backend", "jack"]) == 2
    told = capfd.readouterr().err
    assert told.startswith("eightholes: ")
    assert told.count("\n") == 1
