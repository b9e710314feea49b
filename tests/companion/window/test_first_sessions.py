"""Whole first sessions of three users, in a real window with a window manager, by pointer and keys alone."""

from __future__ import annotations

from collections.abc import Iterator

import pygame
import pytest

from companion.commands.shared.tune_list import tune_list_for
from companion.midi.maps.keys import KeyLayout, UpperHand
from companion.window.core.actions import Action, Typed
from companion.window.core.display import Display
from companion.window.core.screen import Canvas, KeyMove, Screen
from companion.window.embellishment_navigation import practice_over
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from companion.window.embellishments.practice_screen import PracticeScreen
from companion.window.paint.still import lettering_for, paint_still
from companion.window.play.play_screen import PlayScreen
from companion.window.program import Opening, play_screen
from tests.companion.window.desk import HEIGHT, WIDTH, Desk

EIGHT = ("space", "f", "d", "s", "j", "k", "l", "semicolon")
"""The keys under the eight fingers, thumb first, as xdotool names them."""

MORE_STEPS_THAN_IT_HAS = 12
LITTLE = EIGHT[-1]
LOWER = KeyLayout.for_upper_hand(UpperHand.LEFT).scancodes


@pytest.fixture(autouse=True)
def _keyboard(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What is printed on keys is asked of a window; the pictures to compare with need one that nobody sees."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.set_mode((1, 1))
    yield
    pygame.display.quit()


class User:
    """Somebody at the desk whose actions are counted: a press, a click, or a word that is typed, is one."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.actions = 0

    def press(self, key: str) -> None:
        """Press a key."""
        self.actions += 1
        self.desk.press(key)

    def write(self, word: str) -> None:
        """Type a word."""
        self.actions += 1
        self.desk.press(*word)


def drawn(screen: Screen, display: Display | None = None, size: tuple[int, int] = (WIDTH, HEIGHT)) -> pygame.Surface:
    """The picture of a screen that stands still."""
    shown = display or Display()
    lettering = lettering_for(size, shown)
    return paint_still(screen.picture(Canvas(*size, shown, lettering)), shown, lettering)


def standing(name: str | None = None) -> PlayScreen:
    """The playing screen on a tune, None for the one that the program opens with, at rest at its start."""
    listed = tune_list_for(name, None, 0)
    return play_screen(Opening(listed.tunes, listed.first, playing=False, book=listed.book, ours=listed.ours))


def catalogue(search: str) -> CatalogueScreen:
    """All embellishments, searched."""
    screen = CatalogueScreen(lambda subject: practice_over(standing(), subject, playing=False))
    for letter in search:
        screen.act(Typed(letter))
    return screen


def played_on(screen: PracticeScreen, keys: tuple[str, ...], *, down: bool) -> None:
    """Press or let go keys under the fingers of a screen in this process."""
    for key in keys:
        assert screen.take_key(KeyMove(LOWER[EIGHT.index(key)], down=down, shifted=False))
    screen.listen_in()


def test_a_beginner_watches_a_taorluath_and_plays_it_back(managed_desk: Desk) -> None:
    """Three actions to one that goes round at a quarter of its speed; then its first two low notes on the keys."""
    desk, user = managed_desk, User(managed_desk)
    with desk.running():
        desk.wait_until_it_moves()
        user.press("j")
        desk.wait_for(drawn(catalogue("")))
        user.write("taor")
        desk.wait_for(drawn(catalogue("taor")))
        user.press("Return")
        assert user.actions == 3
        desk.wait_until_it_moves()
        taorluath = catalogue("taor").act(Action.CHOOSE)
        assert isinstance(taorluath, PracticeScreen)
        assert taorluath.state.play.timing.slow_down == 4.0
        desk.press("space", *["Left"] * MORE_STEPS_THAN_IT_HAS)
        desk.wait_for(drawn(taorluath))
        desk.press("i")
        taorluath.act(Action.PLAY_KEYS)
        desk.wait_for(drawn(taorluath))
        desk.hold(*EIGHT)
        played_on(taorluath, EIGHT, down=True)
        desk.wait_for(drawn(taorluath))
        desk.let_go(LITTLE)
        played_on(taorluath, (LITTLE,), down=False)
        desk.wait_for(drawn(taorluath))
        desk.let_go(*EIGHT[:-1])
        desk.press("shift+space")
        desk.wait_until_it_moves()
