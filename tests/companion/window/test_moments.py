"""The first minute: four short moments over the moving picture, once, and whenever they are asked for."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.display import Display, Print
from companion.window.core.marks import Arch, Engraved, HoleMark, Label, Picture, Rect, Role, Stripe, Wash
from companion.window.core.screen import Canvas
from companion.window.moments import HOW_TO, LASTS_S, MOMENTS, Moments, moment_marks, with_moment
from companion.window.play.play_screen import PlayScreen
from companion.window.play.settings.preferences import Preferences, read_preferences, write_preferences
from companion.window.sheet.sheet_screen import SheetScreen
from companion.window.shell import SMALLEST, Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.every_screen import playing
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock
from tests.companion.window.staff.plain_staff import PlainStaff

SIZES = (SMALLEST, *scenes.SIZES, (3840, 2160))


@pytest.fixture
def clock() -> Clock:
    """The clock of the window."""
    return Clock(100.0)


@pytest.fixture
def shell(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> Iterator[Shell]:
    """A window that draws to memory, and tells what it means."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    window = Shell(PlayScreen(scenes.state(), SilentPlayer(clock), choose_tune), Display(), WindowSize(), clock)
    window.introduce()
    window.frame()
    yield window
    pygame.display.quit()


def said(shell: Shell) -> int | None:
    """Which of the moments is in the picture."""
    assert shell.picture is not None
    words = {label.text for label in scenes.labels(shell.picture)}
    return next((rank for rank in range(len(MOMENTS)) if any(f"{rank + 1} of 4" in text for text in words)), None)


def press(shell: Shell, code: int, typed: str) -> None:
    """A key, and a frame."""
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=code, unicode=typed, mod=0, scancode=0))
    shell.frame()


def test_they_come_one_after_the_other_and_go(shell: Shell, clock: Clock) -> None:
    """Without any key."""
    seen = []
    for _ in range(5):
        seen.append(said(shell))
        clock.now_s += LASTS_S
        shell.frame()
    assert seen == [0, 1, 2, 3, None]


def test_any_key_skips_them_and_does_its_work(shell: Shell) -> None:
    """The tune plays as it would have."""
    press(shell, pygame.K_SPACE, " ")
    assert said(shell) is None
    assert isinstance(shell.top, PlayScreen)
    assert shell.top.state.playing


def test_a_question_mark_brings_them_back(shell: Shell) -> None:
    """By its key, and from the sheet, which closes."""
    press(shell, pygame.K_SPACE, " ")
    press(shell, pygame.K_SLASH, "?")
    assert said(shell) == 0
    press(shell, ord("k"), "k")
    assert isinstance(shell.top, SheetScreen)
    press(shell, pygame.K_SLASH, "?")
    assert isinstance(shell.top, PlayScreen)
    assert said(shell) == 0


def test_they_are_told_once_and_that_is_remembered(shell: Shell, tmp_path: Path) -> None:
    """From one day to the next; 'all as new' does not tell them again, and older files of settings are read."""
    path = tmp_path / "settings.json"
    write_preferences(Preferences(replace(shell.display, full_screen=False)), path)
    assert read_preferences(path).display.introduced
    plain = json.loads(path.read_text(encoding="utf-8"))
    del plain["display"]["introduced"]
    path.write_text(json.dumps(plain), encoding="utf-8")
    assert not read_preferences(path).display.introduced


def test_the_first_shows_what_the_lanes_show() -> None:
    """A bar, a gap and an arch, as the lanes draw them."""
    marks = list(moment_marks(0, canvas_of((1280, 720), Display()), 660.0))
    assert sum(isinstance(mark, Arch) for mark in marks) == 1
    assert sum(isinstance(mark, Stripe) for mark in marks) == 5


def canvas_of(size: tuple[int, int], display: Display) -> Canvas:
    """A window of that size."""
    return Canvas(*size, display, lettering_for(size, display))


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("rank", range(len(MOMENTS)))
def test_no_words_overlap_or_leave_the_plate(size: tuple[int, int], print_size: Print, rank: int) -> None:
    """Above the keys, within the window."""
    canvas = canvas_of(size, Display(print=print_size))
    marks = tuple(moment_marks(rank, canvas, canvas.page.footer(2).y))
    plate = next(mark.rect for mark in marks if isinstance(mark, Wash) and mark.role is Role.GROUND)
    alone = Picture(*size, (), marks)
    for label, rect in scenes.assert_apart(alone, canvas.measure):
        assert plate.x <= rect.x < rect.right <= plate.right, label.text
        assert plate.y <= rect.y < rect.bottom <= plate.bottom, label.text
    assert _inside(plate, size)
    assert plate.bottom <= canvas.page.footer(2).y


def _inside(plate: Rect, size: tuple[int, int]) -> bool:
    return plate.x >= 0 and plate.y >= 0 and plate.right <= size[0] and plate.bottom <= size[1]


def test_each_says_how_it_is_skipped() -> None:
    """And how it comes back."""
    for rank in range(len(MOMENTS)):
        words = " ".join(
            mark.text
            for mark in moment_marks(rank, canvas_of((1920, 1080), Display()), 1000.0)
            if isinstance(mark, Label)
        )
        assert HOW_TO in words


def test_a_slow_reader_has_time_for_each() -> None:
    """At 130 words a minute: common practice, no source."""
    assert all(len(moment.said.split()) / 130 * 60 < LASTS_S + 1.0 for moment in MOMENTS)
    assert Moments(5.0).rank(5.0 + LASTS_S * 4) is None


@pytest.mark.parametrize("size", [(800, 600), (1280, 720), (1920, 1080)], ids=str)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("rank", range(len(MOMENTS)))
def test_no_lane_and_no_key_is_hidden(size: tuple[int, int], print_size: Print, rank: int) -> None:
    """They are what is spoken of; the words at the top wait meanwhile."""
    canvas = canvas_of(size, Display(print=print_size))
    whole = playing(3.0).picture(canvas)
    told = with_moment(whole, rank, canvas)
    plate = next(mark.rect for mark in told.moving[len(whole.moving) :] if isinstance(mark, Wash))
    assert all(mark.y > plate.bottom for mark in whole.marks if isinstance(mark, HoleMark))
    assert not any(scenes.meet(plate, target.rect) for target in whole.targets if target.rect.y > canvas.height * 0.8)


@pytest.mark.parametrize("rank", range(len(MOMENTS)))
@pytest.mark.parametrize("size", scenes.SIZES)
def test_none_lies_over_a_part_of_a_staff(size: tuple[int, int], rank: int) -> None:
    """It ends above it; in a small window, where it cannot, it covers what it lies on down to the chanter."""
    display = Display()
    canvas = Canvas(*size, display, lettering_for(size, display))
    picture = with_moment(scenes.picture(3.0, size, staff=PlainStaff()), rank, canvas)
    staff = next(mark for mark in picture.still if isinstance(mark, Engraved))
    plate = next(mark for mark in reversed(picture.moving) if isinstance(mark, Wash) and mark.role is Role.GROUND)
    assert plate.rect.bottom <= staff.y or plate.rect.bottom >= staff.y + staff.part.height - 1.0
    assert size == (800, 600) or plate.rect.bottom <= staff.y
