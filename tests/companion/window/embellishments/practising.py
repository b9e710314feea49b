"""A learner at one embellishment, for tests: a real window on a tune, the practice over it, an instrument played."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pygame

from companion.midi.maps.keys import KEYS_MAP, KeyLayout, UpperHand
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.schedule.events import EventKind, Schedule
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.display import Display
from companion.window.embellishment_navigation import EMBELLISHMENT_NAVIGATION
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from companion.window.embellishments.practice_screen import PracticeScreen
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from companion.window.shell import Shell, WindowSize
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.players import FIRST_KEY, KEYS_CHANNEL, Clock, Feed

FRAME_S = 0.1
"""Longer than a real one: what counts is what happens, not when."""


def played(schedule: Schedule, late_s: Mapping[Finger, float] | None = None) -> Iterator[Timed]:
    """All of an exercise hole by hole, as KEYS_MAP tells them, in its own time.

    late_s: by how much a finger comes back late from a gracenote.
    """
    first = schedule.states[0]
    moves = [(first.at_s, finger, first.state.closed(finger)) for finger in Finger]
    for before, after in pairwise(schedule.states):
        from_grace = schedule.events[before.event].kind is EventKind.GRACENOTE
        for finger in before.state.moves_to(after.state):
            closes = after.state.closed(finger)
            late = (late_s or {}).get(finger, 0.0) if from_grace and closes else 0.0
            moves.append((after.at_s + late, finger, closes))
    for at_s, finger, closed in sorted(moves):
        yield Timed(at_s, (NoteOn if closed else NoteOff)(KEYS_CHANNEL, FIRST_KEY + finger))


class Learner:
    """The window, driven frame by frame on clocks that a test sets."""

    def __init__(self, takes: Path | None = None, timing: Timing | None = None) -> None:
        self.clock, self.tune_clock = Clock(100.0), Clock()
        self.live = LiveInput(takes, LiveSound(), self.clock)
        self.feed = Feed()
        tune = scenes.tune()
        state = first_state((tune,), tune, timing or Timing())
        player = SilentPlayer(self.tune_clock)
        self.screen = PlayScreen(state, player, choose_tune, EMBELLISHMENT_NAVIGATION, self.live)
        self.shell = Shell(self.screen, Display(), WindowSize(800, 600))
        self.shell.frame()

    @property
    def practice(self) -> PracticeScreen:
        """The practice, which is on top."""
        assert isinstance(self.shell.top, PracticeScreen)
        return self.shell.top

    @property
    def catalogue(self) -> CatalogueScreen:
        """The catalogue, which is on top."""
        assert isinstance(self.shell.top, CatalogueScreen)
        return self.shell.top

    def press(self, key: int, typed: str = "") -> None:
        """One key, and a frame."""
        pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, unicode=typed, mod=0, scancode=0))
        self.frame()

    def move_key(self, scancode: int, *, down: bool, typed: str = "") -> None:
        """A key of the computer, by its place, and a frame."""
        kind = pygame.KEYDOWN if down else pygame.KEYUP
        pygame.event.post(pygame.event.Event(kind, key=0, unicode=typed, mod=0, scancode=scancode))
        self.frame()
        self.frame()

    def shown_note(self) -> Note | None:
        """The note that is played now, as it is shown."""
        return self.live.beside(self.practice.stage.position_s()).now.note

    def type(self, text: str) -> None:
        """Letters, one after the other."""
        for letter in text:
            self.press(ord(letter.lower()), letter)

    def frame(self) -> None:
        """One frame, as the program draws it."""
        self.screen.listen_in()
        assert self.shell.frame()

    def wait(self, seconds: float) -> None:
        """Frame after frame."""
        until_s = self.clock.now_s + seconds
        while self.clock.now_s < until_s - 1e-9:
            self.clock.now_s += FRAME_S
            self.tune_clock.now_s += FRAME_S
            self.frame()

    def take_up(self) -> None:
        """Play on the instrument, whose holes are told one by one."""
        self.live.choice.follow(self.feed, KEYS_MAP)

    def rounds(self, *each: Mapping[Finger, float]) -> None:
        """Times round from the exercise's start, each with those fingers late; heard a second time by the end."""
        schedule = self.practice.stage.state.schedule
        for late_s in each:
            began_s = self.clock.now_s
            self._round(schedule, [replace(timed, at_s=began_s + timed.at_s) for timed in played(schedule, late_s)])
        self.wait(2 * FRAME_S)
        self.live.ear.wait()
        self.frame()

    def round_on_keys(self) -> None:
        """One time round on the computer's keys, held to close; heard a second time by the end."""
        keys = KeyLayout.for_upper_hand(UpperHand.LEFT).scancodes
        schedule = self.practice.stage.state.schedule
        began_s = self.clock.now_s
        for timed in played(schedule):
            self._until(began_s + timed.at_s)
            message = timed.message
            assert isinstance(message, NoteOn | NoteOff)
            self.move_key(keys[message.number - FIRST_KEY], down=isinstance(message, NoteOn))
        self._until(began_s + schedule.duration_s + FRAME_S)
        self.live.ear.wait()
        self.frame()

    def _until(self, at_s: float) -> None:
        """Frame after frame, the last one at that moment."""
        while (left_s := at_s - self.clock.now_s) > 0.0:
            step_s = min(FRAME_S, left_s)
            self.clock.now_s += step_s
            self.tune_clock.now_s += step_s
            self.frame()

    def _round(self, schedule: Schedule, waiting: list[Timed]) -> None:
        until_s = self.clock.now_s + schedule.duration_s
        while self.clock.now_s < until_s - 1e-9:
            while waiting and waiting[0].at_s <= self.clock.now_s + FRAME_S:
                self.feed.play(waiting.pop(0))
            self.wait(FRAME_S)

    def words(self) -> str:
        """All that is read in the window, row after row."""
        assert self.shell.picture is not None
        return " ".join(label.text for label in scenes.labels(self.shell.picture))
