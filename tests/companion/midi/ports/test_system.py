"""How the window fares with a process that does not serve as it should; with real ports: test_ports.py."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator

import pytest

from companion.midi.ports import system
from companion.midi.ports.driver import Backend
from companion.midi.ports.links import LinkState
from companion.midi.ports.system import MidiSystem

GIVES_UP_S = 10.0
SERVES = 'import sys, time\nfor line in sys.stdin: print(\'["ports", ["a"], ["b"]]\', flush=True)'
SERVES_ONCE = 'import sys\nsys.stdin.readline(); print(\'["ports", ["a"], ["b"]]\', flush=True); sys.stdin.readline()'
HALF_A_LINE = "import sys\nsys.stdin.readline(); print('[\"ports\", [\"a', end='', flush=True)"
SAYS_NONSENSE = "import sys\nsys.stdin.readline(); print('nonsense', flush=True); sys.stdin.read()"
SAYS_NOTHING = "import sys\nsys.stdin.read()"


@pytest.fixture
def scripts(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The scripts of the processes that are started, one after another, instead of the true one."""
    scripts: list[str] = []

    def start(backend: Backend) -> subprocess.Popen[bytes]:
        pipe = subprocess.PIPE
        return subprocess.Popen([sys.executable, "-c", scripts.pop(0)], stdin=pipe, stdout=pipe)

    monkeypatch.setattr(system, "_start", start)
    monkeypatch.setattr(system, "STARTS_EVERY_S", 0.05)
    return scripts


@pytest.fixture
def open_system() -> Iterator[Callable[[], MidiSystem]]:
    """Opens systems, and closes them at the end."""
    opened: list[MidiSystem] = []

    def opens() -> MidiSystem:
        opened.append(MidiSystem())
        return opened[-1]

    yield opens
    for each in opened:
        each.close()


def until(done: Callable[[], bool]) -> None:
    """Wait until something is so."""
    gives_up_s = time.monotonic() + GIVES_UP_S
    while not done():
        assert time.monotonic() < gives_up_s
        time.sleep(0.002)


@pytest.mark.parametrize("first", [SERVES_ONCE, HALF_A_LINE])
def test_a_process_that_ends_is_told_and_started_again(
    scripts: list[str], open_system: Callable[[], MidiSystem], first: str
) -> None:
    """As by a fault in a MIDI library. What was open is lost, and there are ports again."""
    scripts += [first, SERVES]
    midi = open_system()
    link = midi.open_input("a")
    midi.ask()
    until(lambda: midi.trouble is system.ENDED)
    assert midi.inputs == ()
    assert link.state is LinkState.LOST

    def here_again() -> bool:
        midi.ask()
        return midi.inputs == ("a",)

    until(here_again)
    assert midi.trouble is None
    assert midi.outputs == ("b",)


def test_an_answer_that_cannot_be_read_is_told_with_its_reason(
    scripts: list[str], open_system: Callable[[], MidiSystem]
) -> None:
    """The thread that takes answers ends with it: what was open is lost, and another process is started."""
    scripts += [SAYS_NONSENSE, SERVES]
    midi = open_system()
    link = midi.open_input("a")
    midi.ask()
    until(lambda: link.state is LinkState.LOST)
    assert "the MIDI system has failed (JSONDecodeError: " in str(midi.trouble)

    def here_again() -> bool:
        midi.ask()
        return midi.inputs == ("a",)

    until(here_again)


def test_a_thread_that_the_system_does_not_give_is_told(scripts: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """As where too many are running: there are no ports, and one line says why."""

    def refuse(thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    scripts.append(SERVES)
    with monkeypatch.context() as breaking:
        breaking.setattr(threading.Thread, "start", refuse)
        midi = MidiSystem()
    assert "can't start new thread" in str(midi.trouble)
    midi.close()


def test_one_that_does_not_answer_is_told(
    scripts: list[str], open_system: Callable[[], MidiSystem], monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a limit, and orders without end wait for it in vain without taking memory without end."""
    monkeypatch.setattr(system, "ANSWERS_WITHIN_S", 0.05)
    scripts.append(SAYS_NOTHING)
    midi = open_system()
    midi.wait()
    assert midi.trouble is system.NO_ANSWER
    assert not midi.known
    output = midi.open_output("b")
    for _ in range(20_000):
        output.send(b"\x90\x45\x40")
