"""The window's loop: it draws, obeys, resizes and closes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame
import pytest

from companion.score.place import Place
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.core.display import Display, Print
from companion.window.core.screen import ScreenResult
from companion.window.core.theme import NIGHT
from companion.window.keyboard import keycap
from companion.window.play.play_screen import PlayScreen
from companion.window.shell import Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.players import Clock


@pytest.fixture
def clock() -> Clock:
    """The clock of the silent player."""
    return Clock()


@pytest.fixture
def shell(monkeypatch: pytest.MonkeyPatch, clock: Clock) -> Iterator[Shell]:
    """A window that draws to memory, with the playing screen in it."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    screen = PlayScreen(scenes.state(), SilentPlayer(clock), choose_tune)
    yield Shell(screen, Display(), WindowSize())
    pygame.display.quit()


def press(code: int, typed: str = "") -> None:
    """A key went down."""
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=code, unicode=typed, mod=0, scancode=0))


def shown() -> bytes:
    """The pixels of the window."""
    return pygame.image.tobytes(pygame.display.get_surface(), "RGB")


def test_a_playing_tune_moves_with_the_clock_it_was_given(shell: Shell, clock: Clock) -> None:
    """The picture changes when the clock does, and only then."""
    shell.frame()
    press(pygame.K_SPACE, " ")
    shell.frame()
    first = shown()
    shell.frame()
    assert shown() == first
    clock.now_s = 0.5
    shell.frame()
    assert shown() != first


def test_a_resized_window_is_laid_out_anew(shell: Shell) -> None:
    """The picture takes the new size at the next frame."""
    shell.frame()
    pygame.event.post(pygame.event.Event(pygame.VIDEORESIZE, w=1000, h=700, size=(1000, 700)))
    assert shell.frame()
    assert pygame.display.get_surface().get_size() == (1000, 700)


def test_theme_and_print_change_the_picture(shell: Shell) -> None:
    """Both keys reach the display settings and the pixels."""
    shell.frame()
    paper = shown()
    press(pygame.K_t, "t")
    press(pygame.K_b, "b")
    shell.frame()
    assert shell.display.theme is NIGHT
    assert shell.display.print is Print.BIG
    assert shown() != paper


def test_the_list_of_tunes_opens_over_the_tune_and_goes_again(shell: Shell) -> None:
    """O opens it, Escape goes back, and the tune is as it was."""
    shell.frame()
    before = shown()
    press(pygame.K_o, "o")
    shell.frame()
    assert shown() != before
    press(pygame.K_ESCAPE, "\x1b")
    shell.frame()
    shell.frame()
    assert shown() == before


def test_a_tune_is_chosen_by_key() -> None:
    """Down and Enter take the second tune of the list."""
    second = replace(scenes.tune(scenes.ABC.replace("Nets on the Slip", "The Tide Table")), place=Place("<text>", 9, 1))
    playing = PlayScreen(replace(scenes.state(), tunes=(scenes.tune(), second)), SilentPlayer(), choose_tune)
    screen = choose_tune(playing)
    assert screen.act(Action.TEMPO_DOWN) is ScreenResult.STAY
    assert screen.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert playing.state.tune is second
    assert playing.state.playing


def test_escape_and_the_close_button_end_the_loop(shell: Shell) -> None:
    """The frame that handles either is the last."""
    shell.frame()
    press(pygame.K_ESCAPE, "\x1b")
    assert not shell.frame()
    pygame.event.post(pygame.event.Event(pygame.QUIT))
    assert not shell.frame()


def test_while_a_tune_plays_the_program_ends_only_after_a_word(shell: Shell) -> None:
    """The first Esc says so, and any other key takes it back; the second ends."""
    shell.frame()
    press(pygame.K_SPACE, " ")
    press(pygame.K_ESCAPE, "\x1b")
    assert shell.frame()
    assert shell.picture is not None
    assert "Esc once more ends the program" in {label.text for label in scenes.labels(shell.picture)}
    press(pygame.K_RIGHT)
    assert shell.frame()
    assert "Esc once more ends the program" not in {label.text for label in scenes.labels(shell.picture)}
    press(pygame.K_SPACE, " ")
    press(pygame.K_ESCAPE, "\x1b")
    assert shell.frame()
    press(pygame.K_ESCAPE, "\x1b")
    assert not shell.frame()


def test_escape_leaves_full_screen_first(shell: Shell) -> None:
    """One level at a time."""
    shell.frame()
    press(pygame.K_f, "f")
    assert shell.frame()
    assert shell.display.full_screen
    press(pygame.K_ESCAPE, "\x1b")
    assert shell.frame()
    assert not shell.display.full_screen
    press(pygame.K_ESCAPE, "\x1b")
    assert not shell.frame()


@pytest.mark.parametrize(
    ("code", "typed", "action"),
    [(pygame.K_PERIOD, ".", "space"), (pygame.K_PAGEDOWN, "", "PgDn"), (pygame.K_F5, "", "F"), (pygame.K_F1, "", "K")],
)
def test_a_presenters_remote_works(code: int, typed: str, action: str) -> None:
    """It sends a page up or down, a full stop to darken the screen, and F5 to begin: common practice, no source."""
    assert keycap(code, typed) == action


def test_at_the_end_an_unrepeated_tune_stands_at_its_start(clock: Clock) -> None:
    """Never an empty screen: it stops and shows the first note."""
    state = scenes.state()
    screen = PlayScreen(replace(state, span=None, playing=True), SilentPlayer(clock), choose_tune)
    clock.now_s = state.schedule.duration_s + 1.0
    screen.tick()
    assert not screen.state.playing
    assert screen.position_s() == 0.0
