"""pygame.midi as it is: what can be seen of it without a port, and in processes of their own, as the program does."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest

from companion.midi.ports.driver import PortNames
from companion.midi.ports.portmidi import watch as watching
from companion.midi.ports.portmidi.watch import PortMidiWatch

ROOT = Path(__file__).resolve().parents[5]
LISTS = """
from companion.midi.ports.portmidi.driver import PortMidiDriver
import dataclasses, json
driver = PortMidiDriver()
print(json.dumps([dataclasses.astuple(driver.names()) for _ in range(3)][-1]))
driver.close()
"""
INITIALISES = "from companion.midi.ports.portmidi import library\nmidi = library.load()\nmidi.init()\nmidi.quit()"
ANSWERS_WITHIN_S = 20.0


def told_by(script: str) -> subprocess.CompletedProcess[str]:
    """What a script prints, which must end well."""
    return subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True)


def test_it_loads_and_lists_over_and_over_without_a_word() -> None:
    """Whatever MIDI system there is or is not; neither pygame's greeting nor what ALSA complains of is printed."""
    done = told_by(LISTS)
    inputs, outputs = json.loads(done.stdout)
    assert all(isinstance(name, str) for name in (*inputs, *outputs))
    assert done.stderr == ""


@pytest.mark.skipif(sys.platform != "linux", reason="ALSA is Linux's")
def test_it_finds_alsas_sequencer() -> None:
    """Without a configuration the ALSA library in pygame's wheel knows of none, and no port is ever seen.

    Where the kernel has no sequencer it says that it has tried the device.
    """
    said = told_by(INITIALISES).stderr
    assert "Unknown SEQ" not in said
    assert said == "" or "/dev/snd/seq" in said


def test_the_watch_tells_the_devices_there_are() -> None:
    """The watch reports the devices that listing in another process finds."""
    inputs, outputs = json.loads(told_by(LISTS).stdout)
    watch = PortMidiWatch(PortNames(("one that is gone",), ()))
    try:
        watch.ask()
        gives_up_s = time.monotonic() + ANSWERS_WITHIN_S
        while not watch.changed:
            assert time.monotonic() < gives_up_s
            time.sleep(0.01)
        assert watch.names == PortNames(tuple(inputs), tuple(outputs))
    finally:
        watch.close()


@pytest.mark.parametrize(
    ("script", "why"),
    [
        ("print('nonsense', flush=True); input(); input()", "JSONDecodeError: "),
        ("print('[1]', flush=True); input(); input()", "ValueError: not enough values to unpack"),
        ("pass", "the process that looks has ended"),
    ],
)
def test_a_watch_that_tells_nothing_any_more_says_why(script: str, why: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nonsense ends the thread that takes what the process says; the names told last still stand."""

    def start(module: str) -> subprocess.Popen[bytes]:
        pipe = subprocess.PIPE
        return subprocess.Popen([sys.executable, "-c", script], stdin=pipe, stdout=pipe, stderr=subprocess.DEVNULL)

    monkeypatch.setattr(watching, "start_module", start)
    known = PortNames(("chanter",), ())
    watch = PortMidiWatch(known)
    try:
        gives_up_s = time.monotonic() + ANSWERS_WITHIN_S
        while watch.trouble is None:
            assert time.monotonic() < gives_up_s
            time.sleep(0.01)
        assert watch.trouble.what.startswith(f"what is plugged in now is not seen ({why}")
        assert watch.names == known
    finally:
        watch.close()
