"""The pointer: a tap, a long press, a drag, two fingers; the mouse and one finger do the same."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pygame
import pytest

from companion.schedule.events import EventKind
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, HearAlone, LetGo, Scrub
from companion.window.core.display import Display
from companion.window.core.screen import Grab
from companion.window.navigation import CROSSING_NAVIGATION
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_view import PlayView
from companion.window.pointer import HOLD_S, SLOP_PX, Gesture, Phase, Pinch
from companion.window.sheet.sheet_screen import SheetScreen
from companion.window.shell import Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock

SIZE = (1280, 720)
LANES = Grab(HearAlone(1.0), HearAlone(1.0, repeated=True), Scrub, LetGo())


def test_a_short_press_is_a_tap() -> None:
    """The hand may tremble by a few pixels."""
    gesture = Gesture(LANES, 100.0, 100.0, 0.0)
    assert gesture.moved(100.0 + SLOP_PX, 98.0) is None
    assert gesture.passed(HOLD_S * 0.9) is None
    assert gesture.released() == HearAlone(1.0)


def test_a_long_press_is_told_once_and_ends_when_let_go() -> None:
    """What is held stays held, wherever the pointer goes meanwhile."""
    gesture = Gesture(LANES, 100.0, 100.0, 0.0)
    assert gesture.passed(HOLD_S) == HearAlone(1.0, repeated=True)
    assert gesture.passed(HOLD_S * 2) is None
    assert gesture.moved(300.0, 100.0) is None
    assert gesture.released() == LetGo()


def test_a_drag_follows_the_pointer_and_is_no_long_press() -> None:
    """However slowly it goes."""
    gesture = Gesture(LANES, 100.0, 100.0, 0.0)
    assert gesture.moved(120.0, 100.0) == Scrub(120.0)
    assert gesture.passed(10.0) is None
    assert gesture.moved(101.0, 100.0) == Scrub(101.0)
    assert gesture.released() == LetGo()


def test_a_long_press_on_nothing_opens_the_sheet() -> None:
    """A short one, and one that moves, ask for nothing."""
    assert Gesture(None, 0.0, 0.0, 0.0).released() is None
    assert Gesture(None, 0.0, 0.0, 0.0).passed(HOLD_S) is Action.KEYS
    moved = Gesture(None, 0.0, 0.0, 0.0)
    assert moved.moved(50.0, 0.0) is None
    assert moved.passed(HOLD_S) is None
    assert moved.phase is Phase.OVER


def test_two_fingers_apart_are_slower_and_together_faster() -> None:
    """A step at a time."""
    pinch = Pinch()
    told = [pinch.moved(0.02) for _ in range(6)]
    assert told == [None, None, Action.SLOWER, None, None, Action.SLOWER]
    assert [pinch.moved(-0.04), pinch.moved(-0.04)] == [None, Action.FASTER]


class Window:
    """A real window's shell that draws to memory, with the tune in it, on a clock that the test sets."""

    def __init__(self) -> None:
        self.clock = Clock()
        self.screen = PlayScreen(scenes.state(), SilentPlayer(self.clock), choose_tune, CROSSING_NAVIGATION)
        self.shell = Shell(self.screen, Display(), WindowSize(*SIZE), self.clock)
        self.shell.frame()

    def at(self, time_s: float, *, names: bool = False) -> tuple[int, int]:
        """Where a moment of the tune stands in the lanes, or among the names below them."""
        view = PlayView(lettering_for(SIZE, Display()))
        layout = view.layout(self.screen.state, Display(), *SIZE)
        x = layout.now_x + (time_s - self.screen.position_s()) * layout.px_per_s / 4.0**0.75
        return round(x), round(layout.notes_y if names else layout.lane_ys[3] + layout.lane / 2)

    def send(self, kind: int, at: tuple[int, int]) -> None:
        """A pointer event, and a frame."""
        pygame.event.post(pygame.event.Event(kind, pos=at, button=1, rel=(1, 0), buttons=(1, 0, 0), touch=False))
        self.shell.frame()

    def wait(self, seconds: float) -> None:
        """Time passes, in frames."""
        for _ in range(max(1, round(seconds * 60))):
            self.clock.now_s += 1 / 60
            self.shell.frame()


@pytest.fixture
def window(monkeypatch: pytest.MonkeyPatch) -> Iterator[Window]:
    """The window."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    yield Window()
    pygame.display.quit()


def test_a_tap_on_a_gracenote_plays_it_alone_and_stays_there(window: Window) -> None:
    """Then the tune stands at it, paused, with its repeat as it was."""
    grace = next(event for event in window.screen.state.schedule.events if event.kind is EventKind.GRACENOTE)
    span = window.screen.state.span
    place = window.at((grace.start_s + grace.end_s) / 2)
    window.send(pygame.MOUSEBUTTONDOWN, place)
    window.send(pygame.MOUSEBUTTONUP, place)
    window.wait(0.02)
    assert grace.start_s <= window.screen.position_s() < grace.end_s
    window.wait(grace.end_s - grace.start_s + 0.1)
    assert not window.screen.state.playing
    assert window.screen.position_s() == grace.start_s
    assert window.screen.state.span == span


def test_a_held_note_is_repeated_until_it_is_let_go(window: Window) -> None:
    """With silence between, and never beyond its end."""
    events = window.screen.state.schedule.events
    event = next(event for event in events if event.kind is EventKind.GRACENOTE)
    place = window.at((event.start_s + event.end_s) / 2)
    window.send(pygame.MOUSEBUTTONDOWN, place)
    window.wait(HOLD_S + 0.02)
    seen = []
    for _ in range(240):
        window.wait(0.001)
        seen.append(window.screen.position_s())
    assert all(event.start_s <= at_s < event.end_s for at_s in seen)
    assert sum(later < earlier for earlier, later in pairwise(seen)) >= 2
    window.send(pygame.MOUSEBUTTONUP, place)
    assert window.screen.position_s() == event.start_s


def test_the_lanes_are_dragged_through_time(window: Window) -> None:
    """What was under the pointer stays under it; a tune that played plays on from there."""
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_SPACE, unicode=" ", mod=0, scancode=0))
    window.wait(1.0)
    before = window.screen.position_s()
    start, end = window.at(before + 1.0), window.at(before)
    window.send(pygame.MOUSEBUTTONDOWN, start)
    window.send(pygame.MOUSEMOTION, (start[0] - 20, start[1]))
    window.send(pygame.MOUSEMOTION, end)
    assert window.screen.position_s() == pytest.approx(before + 1.0, abs=0.05)
    assert not window.screen.state.playing
    window.send(pygame.MOUSEBUTTONUP, start)
    assert window.screen.state.playing


def test_a_drag_over_the_names_repeats_that_stretch(window: Window) -> None:
    """From the first note touched to the last, embellishments with them; slowing down keeps it."""
    events = window.screen.state.schedule.events
    melody = [event for event in events if event.kind is EventKind.MELODY]
    first, last = melody[1], melody[3]
    window.send(pygame.MOUSEBUTTONDOWN, window.at((first.start_s + first.end_s) / 2, names=True))
    end = window.at((last.start_s + last.end_s) / 2, names=True)
    window.send(pygame.MOUSEMOTION, end)
    window.send(pygame.MOUSEBUTTONUP, end)
    span = window.screen.state.span
    assert span is not None
    assert span.start_s == min(event.start_s for event in events if event.played == first.played)
    assert span.end_s == last.end_s
    window.screen.act(Action.SLOWER)
    slower = window.screen.state.span
    assert slower is not None
    assert slower.end_s - slower.start_s > (span.end_s - span.start_s) * 1.2


def test_a_long_press_where_nothing_lies_opens_the_sheet(window: Window) -> None:
    """As the right button does."""
    window.send(pygame.MOUSEBUTTONDOWN, (640, 12))
    window.wait(HOLD_S + 0.05)
    assert isinstance(window.shell.top, SheetScreen)


def test_any_other_wish_ends_a_note_that_is_heard_alone(window: Window) -> None:
    """The tune plays on from it."""
    event = window.screen.state.schedule.events[4]
    window.screen.act(HearAlone(event.start_s, repeated=True))
    window.screen.act(Action.PLAY)
    assert window.screen.state.playing
    assert window.screen.position_s() == pytest.approx(event.start_s)
