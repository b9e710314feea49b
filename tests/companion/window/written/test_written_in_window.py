"""From free play to a tune that is practised, by the keys of the window."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.reading import list_takes
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.abc.tunebook import read_abc_text
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.display import Display
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.free_screen import NOTHING_YET, FreeScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.playing_navigation import PLAYING_NAVIGATION
from companion.window.shell import Shell, WindowSize
from companion.window.written.save_screen import SaveScreen
from companion.window.written.written_screen import WrittenScreen
from tests.companion.notate.playing import MARCH, tune_of
from tests.companion.window import scenes
from tests.companion.window.players import Clock, Feed, notes_of
from tests.companion.window.takes.reviewing import canvas, words_of

pytestmark = pytest.mark.same_everywhere

TUNE = tune_of(MARCH)
PATIENCE_S = 60.0


class FreeDesk:
    """The window in free play, with an instrument on which a march was played."""

    def __init__(self, folder: Path) -> None:
        self.clock = Clock(100.0)
        self.live = LiveInput(folder / "takes", LiveSound(), self.clock)
        self.feed = Feed()
        self.live.choice.follow(self.feed, DEFAULT_MAP)
        self.screen = PlayScreen(
            scenes.state(), SilentPlayer(self.clock), choose_tune, PLAYING_NAVIGATION, live=self.live
        )
        self.shell = Shell(self.screen, Display(), WindowSize(800, 600), self.clock)
        self.shell.draw()

    def press(self, code: int, typed: str = "") -> None:
        """A key goes down, and a frame later it was done."""
        pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=code, unicode=typed, mod=0, scancode=0))
        assert self.shell.frame()

    def play(self) -> None:
        """The march as it is written, and what comes after it."""
        schedule = build_schedule(TUNE, Timing())
        began_s = self.clock.now_s
        self.feed.play(*(replace(each, at_s=began_s + each.at_s) for each in notes_of(schedule)))
        self.clock.now_s += schedule.duration_s + 0.5
        self.screen.listen_in()

    def wait_while_writing(self) -> None:
        """Frames until the tune is there."""
        until_s = time.monotonic() + PATIENCE_S
        while isinstance(self.shell.top, WrittenScreen) and self.shell.top.is_writing:
            assert time.monotonic() < until_s
            assert self.shell.frame()
            time.sleep(0.01)


@pytest.fixture
def desk(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[FreeDesk]:
    """The window, drawn to memory; all that is kept goes to a folder of the test."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.setenv("EIGHTHOLES_DATA", str(tmp_path))
    desk = FreeDesk(tmp_path)
    yield desk
    desk.shell.close()


def test_what_is_played_freely_is_written_down_saved_and_practised(desk: FreeDesk, tmp_path: Path) -> None:
    """E, the march, Enter, every doubt accepted, saved by Enter, and Enter plays it; the take is kept as well."""
    desk.press(pygame.K_e, "e")
    assert isinstance(desk.shell.top, FreeScreen)
    desk.press(pygame.K_RETURN)
    assert isinstance(desk.shell.top, FreeScreen), "nothing was played yet"
    assert NOTHING_YET in words_of(desk.shell.top.picture(canvas()))
    desk.play()
    assert NOTHING_YET not in words_of(desk.shell.top.picture(canvas()))
    desk.press(pygame.K_RETURN)
    written = desk.shell.top
    assert isinstance(written, WrittenScreen)
    desk.wait_while_writing()
    assert written.state is not None
    for _ in range(written.state.left + 1):
        desk.press(pygame.K_RETURN)
    assert isinstance(desk.shell.top, SaveScreen)
    desk.press(pygame.K_RETURN)
    path = tmp_path / "tunes" / "Free play.abc"
    (tune,) = read_abc_text(path.read_text(encoding="utf-8")).tunes
    assert [(note.note, note.duration, note.gracenotes) for note in tune.notes] == [
        (note.note, note.duration, note.gracenotes) for note in TUNE.notes
    ]
    assert not list((tmp_path / "tunes" / "drafts").iterdir())
    desk.press(pygame.K_RETURN)
    until_s = time.monotonic() + PATIENCE_S
    while desk.shell.top is not desk.screen and time.monotonic() < until_s:
        assert desk.shell.frame()
        time.sleep(0.01)
    assert desk.screen.state.tune.title == "Free play"
    assert desk.screen.state.tune.place.source == str(path)
    desk.live.finish_takes()
    (take,) = list_takes(tmp_path / "takes").takes
    assert take.heading.tune is None


def test_a_tune_that_is_left_undecided_stays_as_a_draft_and_a_line_says_where(desk: FreeDesk, tmp_path: Path) -> None:
    """Esc, or the end of the program: the draft is whole on the disk."""
    desk.press(pygame.K_e, "e")
    desk.play()
    desk.press(pygame.K_RETURN)
    desk.wait_while_writing()
    desk.press(pygame.K_ESCAPE)
    assert isinstance(desk.shell.top, FreeScreen)
    (draft,) = (tmp_path / "tunes" / "drafts").iterdir()
    assert len(read_abc_text(draft.read_text(encoding="utf-8")).tunes[0].notes) == len(TUNE.notes)
    assert draft.name in desk.screen.state.notice
