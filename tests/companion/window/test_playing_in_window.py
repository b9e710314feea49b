"""The real window at 1080p, with a real port of a JACK server and another process playing into it."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pygame
import pytest

from companion.files.folders import OVERRIDE
from companion.listen.model.played import Sounded
from companion.midi.maps.memory import read_memory
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.ports.driver import Backend
from companion.midi.ports.named_ports import PortState
from companion.midi.stream.messages import NoteOff, NoteOn, encode
from companion.midi.takes.reading import Take, list_takes, read_take
from companion.schedule.timing import Timing
from companion.window.lanes.played_in import Light, PlayedIn
from companion.window.live import tune_run
from companion.window.live.input import LiveInput
from companion.window.live.instruments import Instruments
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.program import Opening, play_screen
from companion.window.shell import Shell, WindowSize
from fingering.notes import Note
from tests.companion.midi.jack import jack_server, other_end
from tests.companion.midi.other_end import numbered
from tests.companion.window import scenes

MESSAGES, PER_S = 3000, 1000
GIVES_UP_S = 15.0
HELD_UP_S = 1.5
LOW_A, B = "send 90 45 40", "send 90 47 40"


@pytest.fixture(scope="module", autouse=True)
def _server() -> Iterator[None]:
    """A JACK server runs for these tests."""
    with jack_server():
        yield


class Window:
    """The window on a tune that runs, its ports and its takes; nothing in it is pretended."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        opening = Opening((scenes.tune(),), scenes.tune(), Timing(slow_down=8.0), size=WindowSize(1920, 1080))
        self.screen: PlayScreen = play_screen(opening, LiveInput(folder / "takes", LiveSound()))
        self.shell = Shell(self.screen, opening.display, opening.size)
        self.frames = 0

    @property
    def shown(self) -> PlayedIn:
        """What the picture is told of what is played in."""
        return self.screen.live.beside(self.screen.position_s())

    def run_until(self, done: Callable[[], bool]) -> None:
        """Frame after frame as the program draws them, until it is done or has taken too long."""
        began_s = time.monotonic()
        while not done() and time.monotonic() - began_s < GIVES_UP_S:
            self.screen.listen_in()
            assert self.shell.frame()
            self.frames += 1
            time.sleep(0.001)

    def closed(self) -> tuple[Take, ...]:
        """The window is closed in the middle of everything; the takes that this leaves."""
        pygame.event.post(pygame.event.Event(pygame.QUIT))
        self.shell.run(self.screen.listen_in)
        return tuple(read_take(each.path) for each in list_takes(self.folder / "takes").takes)


@pytest.fixture
def window(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Window]:
    """The window, drawing into memory."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    interval_s = sys.getswitchinterval()
    sys.setswitchinterval(0.0005)
    pygame.display.quit()
    yield Window(tmp_path)
    pygame.display.quit()
    sys.setswitchinterval(interval_s)


def test_no_message_of_3000_is_lost_while_the_window_draws_and_keeps_them(window: Window) -> None:
    """At 1,000 a second, from another process through the port and the window into the take's file, in order."""
    with other_end("chanter maker") as other:
        window.screen.live.open(Instruments(window.folder, Backend.JACK), "chanter maker")
        came = 0

        def all_came() -> bool:
            nonlocal came
            came += window.screen.live.choice.fetched
            return came >= MESSAGES

        window.run_until(lambda: window.shown.light is Light.QUIET)
        other.order(f"count {MESSAGES} {PER_S}")
        window.run_until(all_came)
        port = window.screen.live.choice.port
        assert port is not None
        assert port.dropped == 0
        takes = window.closed()
    assert window.frames > 30
    assert told_in(takes) == [numbered(number)[:2] for number in range(MESSAGES)]


def test_what_comes_while_a_frame_is_held_up_is_kept(window: Window) -> None:
    """The tune stands still for a second and a half: a jump, which ends its take with all that came meanwhile."""
    with other_end("chanter maker") as other:
        window.screen.live.open(Instruments(window.folder, Backend.JACK), "chanter maker")
        came, counted = 0, 0

        def this_many_came(count: int) -> bool:
            nonlocal came, counted
            if window.frames > counted:
                came, counted = came + window.screen.live.choice.fetched, window.frames
            return came >= count

        window.run_until(lambda: window.shown.light is Light.QUIET)
        other.order(f"count {MESSAGES} {PER_S}")
        window.run_until(lambda: this_many_came(MESSAGES // 6))
        time.sleep(HELD_UP_S)
        window.run_until(lambda: this_many_came(MESSAGES))
        takes = window.closed()
    assert len(takes) > 1
    assert told_in(takes) == [numbered(number)[:2] for number in range(MESSAGES)]


def told_in(takes: Sequence[Take]) -> list[list[int]]:
    """The notes that begin and end in takes, one take after the other; a note that sounds as the next one begins is
    written in both, and counts once."""
    told: list[list[int]] = []
    for take in sorted(takes, key=lambda each: each.heading.began):
        notes = [list(encode(each.message))[:2] for each in take.messages if isinstance(each.message, NoteOn | NoteOff)]
        told += notes[1:] if told and notes[:1] == told[-1:] else notes
    return told


def test_a_port_that_goes_and_comes_back_leaves_one_take(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """The line says that it is gone and what to do; the tune runs on, and what is played later is in the same take."""
    monkeypatch.setattr(tune_run, "PAUSE_S", 600.0)  # a busy machine takes longer than a pause to bring a port back
    live = window.screen.live
    instruments = Instruments(window.folder, Backend.JACK)
    instruments.learn("chanter maker:out", DEFAULT_MAP)
    with other_end("chanter maker") as other:
        live.open(instruments, "chanter maker")
        window.run_until(lambda: window.shown.light is Light.QUIET)
        other.order(LOW_A)
        window.run_until(lambda: window.shown.now.note is Note.LOW_A)
        lit = window.shown.light
    window.run_until(lambda: bool(window.shown.problem))
    assert window.shown.problem == "chanter maker:out is gone; plug it in again"
    assert window.shown.now.note is None
    assert (lit, window.shown.light) == (Light.ARRIVING, Light.AWAY)
    with other_end("chanter maker") as other:
        window.run_until(lambda: live.choice.port is not None and live.choice.port.state is PortState.OPEN)
        assert window.shown.problem == ""
        other.order(B)
        window.run_until(lambda: window.shown.now.note is Note.B)
        (take,) = window.closed()
    assert [each.note for each in take.events if isinstance(each, Sounded)] == [Note.LOW_A, None, Note.B, None]


def test_a_port_asked_for_by_name_is_waited_for(window: Window) -> None:
    """The window opens without it and says so; the instrument is heard once it is plugged in, and remembered."""
    live = window.screen.live
    live.open(Instruments(window.folder, Backend.JACK), "late comer")
    window.run_until(lambda: "late comer" in window.shown.problem)
    assert window.shown.light is Light.AWAY
    with other_end("late comer"):
        window.run_until(lambda: window.shown.light is Light.QUIET)
        window.run_until(lambda: read_memory(window.folder).last_used is not None)
    window.closed()
    assert read_memory(window.folder).last_used == "late comer:out"


def test_where_there_are_no_midi_drivers_a_line_says_so(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """The line is shown only to a user who asked for a port; the computer's keys still play."""
    monkeypatch.setenv("JACK_DEFAULT_SERVER", "no such server")
    instruments = Instruments(window.folder, Backend.JACK)
    window.screen.live.open(instruments, None)
    assert window.shown.problem == ""
    window.screen.live.listen_to("anything")
    window.run_until(lambda: bool(window.shown.problem))
    assert "no MIDI ports" in window.shown.problem
    window.closed()
