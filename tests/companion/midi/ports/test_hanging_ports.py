"""A MIDI system that hangs stops neither the window nor a command: a JACK server is stopped, and goes on later."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pygame
import pytest

from companion.__main__ import main
from companion.commands.shared.tune_list import bundled_tunes
from companion.files.folders import OVERRIDE
from companion.hearing.microphone import microphones
from companion.midi.ports import system
from companion.midi.ports.driver import Backend
from companion.midi.ports.named_ports import PortState
from companion.schedule.timing import Timing
from companion.window.live.instruments import Instruments
from companion.window.program import Opening, play_screen
from companion.window.shell import Shell
from tests.companion.midi.jack import ENVIRONMENT, ROOT, connected, end_jackd, other_end, start_jackd

pytestmark = pytest.mark.same_everywhere

ENDS_WITHIN_S = 5.0
"""From the wish to close the window to its end, on a machine under load."""

ANSWERS_WITHIN_S = 1.2
"""Instead of the program's 3 s, so that the tests are quick; a server that is not stopped answers in 20 ms."""

WITHOUT_WAITING_S = 1.0
"""What does not wait for an answer is done by then, on a machine under load."""

SERVER = f"eightholes-hang-{os.getpid()}"


class StoppableServer:
    """A JACK server that can be made to hang."""

    def __init__(self) -> None:
        self._process = start_jackd(SERVER)
        try:
            connected(self._process).close()
        except BaseException:
            self._process.kill()
            self._process.wait()
            raise

    def stop(self) -> None:
        """Make it hang."""
        self._process.send_signal(signal.SIGSTOP)

    def go_on(self) -> None:
        """Let it answer again."""
        self._process.send_signal(signal.SIGCONT)

    def end(self) -> None:
        """End it so that it gives back its place: a computer has few places for JACK servers."""
        self.go_on()
        end_jackd(self._process, SERVER)


@pytest.fixture
def server(monkeypatch: pytest.MonkeyPatch) -> Iterator[StoppableServer]:
    """The server that this process and those it starts speak to."""
    for name, value in {**ENVIRONMENT, "JACK_DEFAULT_SERVER": SERVER}.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(system, "ANSWERS_WITHIN_S", ANSWERS_WITHIN_S)
    monkeypatch.setattr(microphones, "ANSWERS_WITHIN_S", ANSWERS_WITHIN_S)
    server = StoppableServer()
    yield server
    server.end()


class Window:
    """The program's window, drawing into memory, with the ports of the server."""

    def __init__(self, folder: Path, wanted: str) -> None:
        tunes = bundled_tunes()
        opening = Opening(tunes, tunes[0], Timing())
        self.screen = play_screen(opening)
        self.shell = Shell(self.screen, opening.display, opening.size)
        self.longest_frame_s = 0.0
        began_s = time.monotonic()
        self.instruments = Instruments(folder, Backend.JACK)
        self.screen.live.open(self.instruments, wanted)
        self.opened_in_s = time.monotonic() - began_s

    @property
    def fault(self) -> str:
        """What is said to be wrong with what is played in."""
        live = self.screen.live
        return live.freely(live.clock()).problem

    def run_until(self, done: Callable[[], bool], at_most_s: float = 10.0) -> None:
        """Frames until something is done, or has taken too long."""
        began_s = time.monotonic()
        while not done() and time.monotonic() - began_s < at_most_s:
            frame_s = time.monotonic()
            self.screen.listen_in()
            assert self.shell.frame()
            self.longest_frame_s = max(self.longest_frame_s, time.monotonic() - frame_s)
            time.sleep(0.001)

    def is_open(self) -> bool:
        """Whether the port asked for is listened to."""
        port = self.screen.live.choice.port
        return port is not None and port.state is PortState.OPEN

    def closes_in_s(self) -> float:
        """Close it; returns how long that takes."""
        began_s = time.monotonic()
        pygame.event.post(pygame.event.Event(pygame.QUIT))
        self.shell.run(self.screen.listen_in)
        return time.monotonic() - began_s


@pytest.fixture
def open_window(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], Window]]:
    """Opens the window, asking for the chanter maker's port."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    interval_s = sys.getswitchinterval()
    pygame.display.quit()
    yield lambda: Window(tmp_path, "chanter maker")
    pygame.display.quit()
    sys.setswitchinterval(interval_s)


def test_the_window_opens_and_draws_while_the_server_hangs(
    server: StoppableServer, open_window: Callable[[], Window]
) -> None:
    """A line says so; once the server goes on the port is listened to without a further word."""
    with other_end("chanter maker"):
        server.stop()
        window = open_window()
        assert window.opened_in_s < WITHOUT_WAITING_S
        window.run_until(lambda: bool(window.fault))
        assert window.fault == str(system.NO_ANSWER)
        assert not window.is_open()
        server.go_on()
        window.run_until(window.is_open)
        assert window.is_open()
        assert window.fault == ""
        assert window.longest_frame_s < WITHOUT_WAITING_S
        assert window.closes_in_s() < ENDS_WITHIN_S


def test_the_window_ends_though_the_server_hangs_with_a_port_open(
    server: StoppableServer, open_window: Callable[[], Window]
) -> None:
    """Closing a port is a call that hangs too."""
    with other_end("chanter maker"):
        window = open_window()
        window.run_until(window.is_open)
        assert window.is_open()
        server.stop()
        began_s = time.monotonic()
        window.run_until(lambda: time.monotonic() - began_s > 0.3)
        assert window.longest_frame_s < WITHOUT_WAITING_S
        assert window.closes_in_s() < ENDS_WITHIN_S
        server.go_on()  # what was left alone ends now


def test_the_ports_command_says_that_the_server_hangs(
    server: StoppableServer, capsys: pytest.CaptureFixture[str]
) -> None:
    """In one line, within the limit, with status 2."""
    server.stop()
    began_s = time.monotonic()
    assert main(["ports", "--backend", "jack"]) == 2
    assert time.monotonic() - began_s < ANSWERS_WITHIN_S + ENDS_WITHIN_S
    assert capsys.readouterr().err == f"eightholes: {system.NO_ANSWER}\n"


def test_the_program_obeys_a_signal_though_the_server_hangs(server: StoppableServer, tmp_path: Path) -> None:
    """The whole program, in a process of its own, asked to end while it waits for a port."""
    server.stop()
    environment = {**os.environ, "SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy", OVERRIDE: str(tmp_path)}
    words = [sys.executable, "-m", "companion", "--backend", "jack", "--midi", "chanter maker"]
    words.insert(3, "show")
    with subprocess.Popen(words, cwd=ROOT, env=environment, stderr=subprocess.PIPE, text=True) as program:
        time.sleep(2.0)
        program.terminate()
        _, told = program.communicate(timeout=ENDS_WITHIN_S + 5.0)
    assert program.returncode == 128 + signal.SIGTERM
    assert told == ""
