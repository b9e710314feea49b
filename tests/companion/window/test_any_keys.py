"""Whatever is pressed, clicked, turned and resized, in any order, the window goes on."""

from __future__ import annotations

import random
import string
from collections.abc import Iterator

import pygame
import pytest

from companion.sound.player import SilentPlayer
from companion.window.display import Display
from companion.window.doors import DOORS
from companion.window.play_screen import PlayScreen
from companion.window.program import choose_tune
from companion.window.shell import SMALLEST, Shell, WindowSize
from tests.companion.window import scenes

FRAMES = 250
NAMED = (pygame.K_SPACE, pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN, pygame.K_RETURN, pygame.K_ESCAPE)
SIZES = (SMALLEST, *scenes.SIZES)


@pytest.fixture
def shell(monkeypatch: pytest.MonkeyPatch) -> Iterator[Shell]:
    """A window that draws to memory, all its doors open, the tune running."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    screen = PlayScreen(scenes.state(), SilentPlayer(), choose_tune, DOORS)
    yield Shell(screen, Display(), WindowSize())
    pygame.display.quit()


def key(draw: random.Random) -> pygame.event.Event:
    """Any key."""
    if draw.random() < 0.3:
        return pygame.event.Event(pygame.KEYDOWN, key=draw.choice(NAMED), unicode="", mod=0, scancode=0)
    typed = draw.choice(string.ascii_letters + string.digits + "+-.,[]")
    return pygame.event.Event(pygame.KEYDOWN, key=ord(typed.lower()), unicode=typed, mod=0, scancode=0)


def anything(draw: random.Random) -> pygame.event.Event:
    """A key, a click, a turn of the wheel, or another size of the window."""
    kind = draw.random()
    if kind < 0.7:
        return key(draw)
    if kind < 0.85:
        width, height = pygame.display.get_surface().get_size()
        at = (draw.randrange(width), draw.randrange(height))
        return pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=at)
    if kind < 0.95:
        return pygame.event.Event(pygame.MOUSEWHEEL, x=0, y=draw.choice((-1, 1)))
    width, height = draw.choice(SIZES)
    return pygame.event.Event(pygame.VIDEORESIZE, w=width, h=height, size=(width, height))


@pytest.mark.parametrize("start", range(4))
def test_nothing_that_is_pressed_breaks_the_window(shell: Shell, start: int) -> None:
    """A frame either goes on or is the last one, because the user left; it never fails."""
    draw = random.Random(start)
    shell.frame()
    for _ in range(FRAMES):
        for _ in range(draw.randrange(3)):
            pygame.event.post(anything(draw))
        if not shell.frame():
            pygame.event.clear()
