"""Which driver opens the ports, and that it does so in a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from companion.files.child import start_module
from companion.midi.ports.driver import Backend
from companion.midi.ports.drivers import check_backend, open_driver
from fingering.errors import UserError

ROOT = Path(__file__).resolve().parents[4]
SERVES_WITHOUT_RTMIDI = """
import sys
sys.modules["rtmidi"] = None  # which makes an import of it fail
from companion.midi.ports import service
from companion.midi.ports.driver import Backend
service.run(Backend(sys.argv[1]))
"""
OPENS_A_WINDOWS_PORTS = """
import os, sys
os.environ["PYGAME_HIDE_SUPPORT_PROMPT"] = "1"
from companion.midi.ports.driver import Backend
from companion.midi.ports.system import MidiSystem
import companion.window.program, companion.window.live.instruments
MidiSystem(Backend.SYSTEM).close()
print("pygame" in sys.modules, {"pygame.midi", "pygame.pypm", "rtmidi"} & set(sys.modules))
"""
SETS_ASIDE = """
import os
from companion.files.child import set_aside_output, write_all
answers = set_aside_output()
os.write(1, b"what a C library prints")
write_all(answers, b"an answer")
"""


def printed(script: str, *words: str, orders: str = "") -> str:
    """What a script prints."""
    line = [sys.executable, "-c", script, *words]
    return subprocess.run(line, cwd=ROOT, input=orders, stdout=subprocess.PIPE, text=True, check=True).stdout


def test_without_python_rtmidi_the_ports_come_from_portmidi() -> None:
    """As on Python 3.13: they are listed, one that is not there is refused, and nothing but answers is printed."""
    line = [sys.executable, "-c", SERVES_WITHOUT_RTMIDI, "system"]
    with subprocess.Popen(line, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write('["list"]\n["in", 1, "no such port"]\n["list"]\n')
        process.stdin.flush()
        first, refused, again = (json.loads(process.stdout.readline()) for _ in range(3))
        process.stdin.close()
        assert process.stdout.read() == ""
    assert first[0] == "ports"
    assert refused[:2] == ["refused", 1]
    assert "no such port" in refused[2]
    assert again == first
    assert process.returncode == 0


def test_jacks_ports_need_python_rtmidi(monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked for without it, that is told before a process is started, and by the process."""
    (answer,) = printed(SERVES_WITHOUT_RTMIDI, "jack").splitlines()
    assert json.loads(answer)[:2] == ["none", "JACK's MIDI ports need python-rtmidi, which is not here"]
    monkeypatch.setitem(sys.modules, "rtmidi", None)
    check_backend(Backend.SYSTEM)
    for asks in (check_backend, open_driver):
        with pytest.raises(UserError, match="JACK's MIDI ports need python-rtmidi"):
            asks(Backend.JACK)


def test_the_process_that_draws_loads_no_midi_library() -> None:
    """A call into one that hangs would hold up its drawing."""
    assert printed(OPENS_A_WINDOWS_PORTS) == "True set()\n"


def test_what_a_library_prints_is_no_answer() -> None:
    """PortMidi prints what events it does not know, and pygame greets."""
    assert printed(SETS_ASIDE) == "an answer"


def test_the_process_finds_the_package_that_started_it(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """From whatever folder, though it is not installed; `python -m site` prints where modules are looked for."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PYTHONPATH", raising=False)
    with start_module("site") as process:
        told, _ = process.communicate()
    assert repr(str(ROOT)) in told.decode()
