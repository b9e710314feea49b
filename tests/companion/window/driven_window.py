"""A window that a test drives frame by frame, with what is played in."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pygame

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.schedule.spans import Extent
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from companion.window.play.settings.preferences import Preferences
from companion.window.play.settings.settings_keeper import SettingsKeeper
from companion.window.playing_navigation import PLAYING_NAVIGATION
from companion.window.program import trouble_of
from companion.window.shell import Shell, WindowSize
from tests.companion.sound.loudspeaker import wait_until
from tests.companion.window import scenes
from tests.companion.window.players import Clock, Feed, notes_of

FRAME_S = 0.1
"""Longer than a real one: what counts is what happens, not when."""

TUNE = scenes.tune("X:1\nT:Nets\nM:4/4\nL:1/8\nQ:1/4=120\nK:HP\ne2 a>e {g}c2 d>c|{g}A2 B>d {g}c2 A2|]\n")


class Window:
    """The window on a tune, its takes and its settings; what is played in comes from a feed."""

    def __init__(self, folder: Path, write: Callable[[Preferences], None]) -> None:
        self.folder = folder
        self.clock = Clock(100.0)
        self.tune_clock = Clock()
        self.live = LiveInput(folder / "takes", LiveSound(), self.clock)
        self.feed = Feed()
        self.live.choice.follow(self.feed, DEFAULT_MAP)
        state = replace(first_state((TUNE,), TUNE, Timing()), extent=Extent.NOTHING, span=None)
        self.screen = PlayScreen(state, SilentPlayer(self.tune_clock), choose_tune, PLAYING_NAVIGATION, self.live)
        self.shell = Shell(self.screen, Display(), WindowSize(800, 600))
        self.keeper = SettingsKeeper(write)

    def frames(self, count: int = 1) -> None:
        """Frame after frame, as the program draws them."""
        for _ in range(count):
            self.screen.listen_in()
            self.keeper.keep(self.screen.preferences(self.shell.display))
            self.shell.trouble = trouble_of(self.screen, self.keeper)
            assert self.shell.frame()
            self.clock.now_s += FRAME_S
            self.tune_clock.now_s += FRAME_S

    def until(self, happened: Callable[[], bool]) -> None:
        """Frames until something that is bound to happen, and one that shows it."""

        def frame_and_look() -> bool:
            self.frames()
            return happened()

        wait_until(frame_and_look)
        self.frames()

    def words(self) -> str:
        """All that is read in the window, row after row."""
        assert self.shell.picture is not None
        return " ".join(label.text for label in scenes.labels(self.shell.picture))

    def play_the_tune(self) -> int:
        """The tune runs, and is played along with to its end, until its take has ended; how many messages that were."""
        self.frames()
        began_s = self.clock.now_s
        self.screen.act(Action.START)
        self.screen.act(Action.PLAY)
        played = [Timed(began_s + each.at_s, each.message) for each in notes_of(self.screen.state.schedule)]
        waiting = list(played)
        for _ in range(200):
            while waiting and waiting[0].at_s <= self.clock.now_s:
                self.feed.play(waiting.pop(0))
            self.frames()
            if not self.screen.state.playing:
                break
        self.until(lambda: not any(thread.name == "take ending" for thread in threading.enumerate()))
        self.frames(2)
        assert not self.screen.state.playing
        return len(played) - len(waiting)


def press(code: int, typed: str = "") -> None:
    """A key went down."""
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=code, unicode=typed, mod=0, scancode=0))
