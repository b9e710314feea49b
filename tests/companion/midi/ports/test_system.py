"""How the window fares with a process that does not serve as it should; with real ports: test_ports.py."""

from __future__ import annotations

import itertools
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator

import pytest

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.ports import system
from companion.midi.ports.driver import Backend
from companion.midi.ports.links import LinkState
from companion.midi.ports.monitor import Monitor
from companion.midi.ports.named_ports import REFRESH_S, Listening, Ports, PortState
from companion.midi.ports.system import MidiSystem
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.notes import Note
from tests.companion.faults import FailingFile

GIVES_UP_S = 10.0
SERVES = 'import sys, time\nfor line in sys.stdin: print(\'["ports", ["a"], ["b"]]\', flush=True)'
SERVES_ONCE = 'import sys\nsys.stdin.readline(); print(\'["ports", ["a"], ["b"]]\', flush=True); sys.stdin.readline()'
HALF_A_LINE = "import sys\nsys.stdin.readline(); print('[\"ports\", [\"a', end='', flush=True)"
SAYS_NONSENSE = "import sys\nsys.stdin.readline(); print('nonsense', flush=True); sys.stdin.read()"
SERVES_WITH_TROUBLE = """
import sys
sys.stdin.readline()
print('["ports", ["a"], ["b"], "one is not seen", "look again"]', flush=True)
for line in sys.stdin: print('["ports", ["a"], ["b"]]', flush=True)
"""
PLAYS_A_NOTE = """
import json, sys
opened = lists = 0
for line in sys.stdin:
    order, *what = json.loads(line)
    if order == "list":
        lists += opened == 2
        print(json.dumps(["ports", [] if lists == 2 else ["a"], []]), flush=True)
    if order == "in":
        opened += 1
        print(json.dumps(["open", what[0]]), json.dumps(["came", what[0], 0.0, "904540"]), sep="\\n", flush=True)
"""
"""Low A each time that it is opened. It is away in the second list after it was opened twice."""
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


def until_listed_again(midi: MidiSystem) -> None:
    """Ask, as a window does, until there are ports."""

    def listed() -> bool:
        midi.ask()
        return midi.inputs == ("a",)

    until(listed)


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
    until_listed_again(midi)
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
    until_listed_again(midi)


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


def test_orders_that_cannot_be_written_are_told_with_the_reason(
    scripts: list[str], open_system: Callable[[], MidiSystem], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The thread that writes them ends with it: what was open is lost, the process ends, and another is started."""
    scripts += [SERVES, SERVES]
    really, children = system._start, []

    def start(backend: Backend) -> subprocess.Popen[bytes]:
        child = really(backend)
        children.append(child)
        if len(children) == 1:
            child.stdin = FailingFile(child.stdin, 1, MemoryError)  # type: ignore[assignment]
        return child

    monkeypatch.setattr(system, "_start", start)
    midi = open_system()
    midi.ask()
    until(lambda: midi.inputs == ("a",))
    link = midi.open_input("a")
    until(lambda: link.state is LinkState.LOST)
    told = "the MIDI system has failed (there is not enough memory); "
    assert str(midi.trouble).startswith(told)
    assert str(link.trouble).startswith(told)
    children[0].wait(GIVES_UP_S)
    assert str(midi.trouble).startswith(told)
    until_listed_again(midi)
    assert midi.trouble is None


def test_ports_can_be_told_with_what_is_wrong_all_the_same(
    scripts: list[str], open_system: Callable[[], MidiSystem]
) -> None:
    """What is open stays open; the next list without it ends the line."""
    scripts.append(SERVES_WITH_TROUBLE)
    midi = open_system()
    midi.ask()
    until(lambda: midi.told == 1)
    assert midi.inputs == ("a",)
    assert str(midi.trouble) == "one is not seen; look again"
    midi.ask()
    until(lambda: midi.told == 2)
    assert midi.trouble is None


def test_a_reader_that_fails_is_told_until_its_port_was_away(scripts: list[str]) -> None:
    """The port itself is sound, and is read again as soon as the ports were listed anew."""
    scripts.append(PLAYS_A_NOTE)
    sounded: list[HoleState | None] = []

    def sound(state: HoleState | None) -> None:
        sounded.append(state)
        if len(sounded) == 1:
            raise ZeroDivisionError("nought")

    ports, seconds = Ports(MidiSystem()), itertools.count(0.0, REFRESH_S)
    port = ports.await_port("a", Listening(monitor=Monitor(sound, DEFAULT_MAP)))

    def frames_until(state: PortState) -> None:
        def came_to() -> bool:
            ports.refresh(next(seconds))
            return port.state is state

        until(came_to)

    line = "reading the MIDI port has failed (ZeroDivisionError: nought); plug the instrument in again"
    frames_until(PortState.REFUSED)
    assert port.trouble == line
    frames_until(PortState.OPEN)
    assert port.trouble == line
    until(lambda: sounded.count(chart(Note.LOW_A)) == 2)
    frames_until(PortState.AWAY)
    assert port.trouble == "a is gone; plug it in again"
    frames_until(PortState.OPEN)
    assert port.trouble is None
    ports.close()


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
