"""The sheet of all that can be done: what it shows, and what its rows, keys and clicks ask for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import pygame
import pytest

from companion.sound.player import SilentPlayer
from companion.sound.settings import SoundSettings
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Ask, Pick, TurnTo
from companion.window.core.display import Display, Print
from companion.window.core.hints import Group
from companion.window.core.list_view import SCROLL_WIDTH_PX
from companion.window.core.look_keys import MORE_KEY
from companion.window.core.marks import Frame, Picture, Role, Rule, Style, Target, Wash
from companion.window.core.page import LEAST_TARGET_PX
from companion.window.core.screen import Canvas
from companion.window.crossing.crossing_screen import CrossingScreen
from companion.window.navigation import CROSSING_NAVIGATION
from companion.window.play.play_keys import PLAY_TABLE
from companion.window.play.play_screen import PlayScreen
from companion.window.sheet.sheet_screen import SheetScreen
from companion.window.sheet.sheet_view import LEAST_ROOM_PX, REMEMBERED
from companion.window.shell import SMALLEST, Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZES = (SMALLEST, *scenes.SIZES, (3840, 2160))
NAMED = {"Esc": pygame.K_ESCAPE, "Tab": pygame.K_TAB, "↓": pygame.K_DOWN, "→": pygame.K_RIGHT, "Enter": pygame.K_RETURN}


def screen_beneath() -> PlayScreen:
    """A playing screen with its navigation."""
    return PlayScreen(scenes.state(), SilentPlayer(lambda: 0.0), choose_tune, CROSSING_NAVIGATION)


@pytest.fixture
def shell(monkeypatch: pytest.MonkeyPatch) -> Iterator[Shell]:
    """A window that draws to memory, the sheet open over the playing screen."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    window = Shell(screen_beneath(), Display(), WindowSize())
    window.frame()
    press(window, "K")
    yield window
    pygame.display.quit()


def press(window: Shell, cap: str) -> None:
    """Press a key, and draw a frame."""
    code = NAMED.get(cap) or ord(cap.lower())
    typed = "" if cap in NAMED else cap
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=code, unicode=typed, mod=0, scancode=0))
    window.frame()


def sheet_of(window: Shell) -> SheetScreen:
    """The sheet, which has to be open."""
    assert isinstance(window.top, SheetScreen)
    return window.top


def beneath(window: Shell) -> PlayScreen:
    """The playing screen below the sheet."""
    screen = sheet_of(window).beneath
    assert isinstance(screen, PlayScreen)
    return screen


def mark_row(window: Shell, action: Action) -> None:
    """Move the mark, by the arrow, to the row of an action."""
    while action not in sheet_of(window).shown.hints[sheet_of(window).shown.rank].actions:
        press(window, "↓")


def test_it_lies_over_the_picture_and_goes_again(shell: Shell) -> None:
    """With the key that opened it, with Esc, and with a click beside it."""
    assert isinstance(shell.top, SheetScreen)
    press(shell, "K")
    assert isinstance(shell.top, PlayScreen)
    press(shell, "K")
    press(shell, "Esc")
    assert isinstance(shell.top, PlayScreen)
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=3, pos=(400, 300)))
    shell.frame()
    assert isinstance(shell.top, SheetScreen)
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=(2, 2)))
    shell.frame()
    assert isinstance(shell.top, PlayScreen)


def test_all_that_can_be_done_is_on_it_or_at_the_foot() -> None:
    """Of the playing screen's table every key, in one of four groups."""
    on_sheet = {action for hint in PLAY_TABLE.sheet for action in hint.actions}
    assert {action for hint in PLAY_TABLE.foot for action in hint.actions} <= on_sheet
    assert {hint.group for hint in PLAY_TABLE.sheet} == set(Group)


def test_a_row_shows_what_is_set_and_changes_it(shell: Shell) -> None:
    """Enter and the arrow to the right go on, the words of the row with it; the sheet stays."""
    mark_row(shell, Action.DRONES)
    before = beneath(shell).state.sound.drones_level
    press(shell, "→")
    assert beneath(shell).state.sound.drones_level != before
    press(shell, "Enter")
    rank = sheet_of(shell).shown.rank
    assert sheet_of(shell).shown.hints[rank].words.startswith("drones")
    assert shell.picture is not None
    assert sheet_of(shell).shown.hints[rank].words in {label.text for label in scenes.labels(shell.picture)}


def test_the_keys_of_the_picture_work_on_it_too(shell: Shell) -> None:
    """T changes the colours, and the sheet stays."""
    theme = shell.display.theme
    press(shell, "T")
    assert shell.display.theme is not theme
    assert isinstance(shell.top, SheetScreen)


def test_the_display_changes_from_a_row(shell: Shell) -> None:
    """As by its key."""
    mark_row(shell, Action.BIG_PRINT)
    press(shell, "Enter")
    assert shell.display.print is Print.BIG


def test_a_row_that_opens_a_screen_closes_the_sheet(shell: Shell) -> None:
    """What lies in this movement is shown; leaving it leads back to the tune, not to the sheet."""
    mark_row(shell, Action.CROSSING)
    press(shell, "Enter")
    assert isinstance(shell.top, CrossingScreen)
    press(shell, "Esc")
    assert isinstance(shell.top, PlayScreen)


def test_tab_goes_from_group_to_group_and_round(shell: Shell) -> None:
    """In the order in which they stand."""
    seen = []
    for _ in range(len(Group) + 1):
        seen.append(sheet_of(shell).shown.group)
        press(shell, "Tab")
    assert seen == [*Group, Group.HEAR]


def test_all_as_new_puts_everything_back(shell: Shell) -> None:
    """Whatever was set; the tune stays."""
    screen = beneath(shell)
    tune = screen.state.tune
    for cap in "TBDDMGLV+A":
        press(shell, cap)
    assert shell.display != Display()
    mark_row(shell, Action.AS_NEW)
    press(shell, "Enter")
    assert shell.display == Display()
    assert screen.state.sound == SoundSettings()
    assert screen.state.timing.slow_down == 1.0
    assert screen.state.tune is tune


def sheet_picture(size: tuple[int, int], display: Display, rank: int) -> tuple[Picture, Picture]:
    """The sheet alone, and the same without what lies below it."""
    screen = screen_beneath()
    sheet = SheetScreen(screen, display, lambda beneath, action: beneath.act(action))
    sheet.shown = replace(sheet.shown, rank=rank)
    canvas = Canvas(*size, display, lettering_for(size, display))
    whole = sheet.picture(canvas)
    below = screen.picture(canvas)
    alone = replace(whole, still=(), moving=whole.moving[len(below.moving) :])
    return whole, alone


RANKS = [next(i for i, hint in enumerate(PLAY_TABLE.sheet) if hint.group is group) for group in Group]


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("rank", [*RANKS, len(PLAY_TABLE.sheet) - 2])
def test_no_words_overlap_or_leave_the_sheet(size: tuple[int, int], print_size: Print, rank: int) -> None:
    """Each group, in all sizes and both prints; the marked row and its sentence are in sight."""
    display = Display(print=print_size)
    _, alone = sheet_picture(size, display, rank)
    measure = lettering_for(size, display)
    panel = next(mark.rect for mark in alone.moving if isinstance(mark, Wash) and mark.role is Role.GROUND)
    for label, rect in scenes.assert_apart(alone, measure):
        assert panel.x <= rect.x < rect.right <= panel.right, label.text
        assert panel.y <= rect.y < rect.bottom <= panel.bottom, label.text
    assert 0 <= panel.x < panel.right <= size[0]
    assert 0 <= panel.y < panel.bottom <= size[1]
    words = " ".join(label.text for label in scenes.labels(alone))
    hint = PLAY_TABLE.sheet[rank].said(scenes.state(), display)
    assert hint.sentence in words
    assert [label.text for label in scenes.labels(alone) if label.text == hint.words and label.style is Style.STRONG]


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_every_target_can_be_hit_by_a_finger(size: tuple[int, int], print_size: Print) -> None:
    """44 x 44 (W3C, WCAG 2.2, 2.5.5)."""
    whole, _ = sheet_picture(size, Display(print=print_size), 0)
    assert whole.targets
    assert all(min(_size(target)) >= LEAST_TARGET_PX - 1e-6 for target in whole.targets)


def _size(target: Target) -> tuple[float, float]:
    return target.rect.width, target.rect.height


def test_a_click_asks_for_what_is_under_it() -> None:
    """A key for itself, the rest of the row for what its last key does, a group's name for its rows."""
    whole, _ = sheet_picture((1280, 720), Display(), 0)
    intents = [target.intent for target in whole.targets]
    assert Ask(Action.SLOWER) in intents
    assert Ask(Action.FASTER) in intents
    assert {TurnTo(rank) for rank in range(4)} <= set(intents)
    assert Pick(0) in intents


def test_it_says_what_is_remembered() -> None:
    """Below its rows, where the rows' sentences have room of their own."""
    _, alone = sheet_picture((1280, 720), Display(), 0)
    assert REMEMBERED in {label.text for label in scenes.labels(alone)}


def test_the_smallest_window_shows_some_rows() -> None:
    """The others come as the mark moves."""
    whole, _ = sheet_picture(SMALLEST, Display(print=Print.BIG), 0)
    assert len([target for target in whole.targets if isinstance(target.intent, Pick)]) >= 5


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_it_does_not_cut_the_large_word(size: tuple[int, int], print_size: Print) -> None:
    """It begins below it, or as high as it can."""
    display = Display(print=print_size)
    _, alone = sheet_picture(size, display, 0)
    panel = next(mark.rect for mark in alone.moving if isinstance(mark, Wash) and mark.role is Role.GROUND)
    page = Canvas(*size, display, lettering_for(size, display)).page
    assert panel.y >= page.body_top or panel.y == LEAST_ROOM_PX


def test_caps_stand_apart_in_a_large_window() -> None:
    """From row to row by a third of their own height, where there is room for it."""
    size = (3840, 2160)
    _, alone = sheet_picture(size, Display(), 0)
    caps = sorted({(mark.rect.y, mark.rect.height) for mark in alone.moving if isinstance(mark, Frame)})[1:]
    for (y, height), (below, _) in pairwise(caps):
        assert below - y > height * 1.3


def test_esc_closes_it_before_the_full_screen_is_left(shell: Shell) -> None:
    """It says so itself."""
    press(shell, "F")
    press(shell, "Esc")
    assert shell.top is not None
    assert not isinstance(shell.top, SheetScreen)
    assert shell.display.full_screen
    press(shell, "Esc")
    assert not shell.display.full_screen


@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("group", Group)
def test_no_row_is_lost_in_a_small_window(print_size: Print, group: Group) -> None:
    """All of a group in sight at once; where they are not, a line beside them shows which are."""
    for size in ((800, 600), SMALLEST):
        own = [rank for rank, hint in enumerate(PLAY_TABLE.sheet) if hint.group is group]
        ranks = [rank for rank in own if PLAY_TABLE.sheet[rank] is not MORE_KEY]  # which closes the sheet again
        whole, alone = sheet_picture(size, Display(print=print_size), ranks[0])
        rows = [target.intent.rank for target in whole.targets if isinstance(target.intent, Pick)]
        scrolls = [mark for mark in alone.moving if isinstance(mark, Rule) and mark.width == SCROLL_WIDTH_PX]
        assert bool(scrolls) == (len(rows) < len(ranks))
        assert size == SMALLEST or len(rows) == len(ranks)
