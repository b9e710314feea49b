"""Keys by what is printed on them, clicks and the wheel."""

from __future__ import annotations

from collections.abc import Iterator

import pygame
import pytest

from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas
from companion.window.keyboard import intent_of, keycap
from companion.window.play.play_screen import PlayScreen
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZE = (1280, 720)


@pytest.fixture
def scene(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[PlayScreen, Picture, Canvas]]:
    """A playing screen in a window that draws to memory."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.init()
    pygame.display.set_mode(SIZE)
    display = Display()
    screen = PlayScreen(scenes.state(), SilentPlayer(lambda: 0.0), choose_tune)
    canvas = Canvas(*SIZE, display, lettering_for(SIZE, display))
    yield screen, screen.picture(canvas), canvas
    pygame.display.quit()


def key(code: int, typed: str = "") -> pygame.event.Event:
    """A key that went down."""
    return pygame.event.Event(pygame.KEYDOWN, key=code, unicode=typed, mod=0)


def wheel(turn: int) -> pygame.event.Event:
    """The wheel turned by one notch, up if above 0."""
    return pygame.event.Event(pygame.MOUSEWHEEL, x=0, y=turn)


@pytest.mark.parametrize(
    ("code", "typed", "cap"),
    [
        (pygame.K_SPACE, " ", "space"),
        (pygame.K_LEFT, "", "←"),
        (pygame.K_l, "l", "L"),
        (pygame.K_l, "L", "L"),
        (pygame.K_MINUS, "-", "–"),
        (pygame.K_EQUALS, "=", "+"),
        (pygame.K_KP_PLUS, "+", "+"),
        (pygame.K_ESCAPE, "\x1b", "Esc"),
        (pygame.K_z, "y", "Y"),
        (pygame.K_5, "[", "["),
    ],
)
def test_a_key_is_what_is_printed_on_it(code: int, typed: str, cap: str) -> None:
    """Whatever the layout: what is typed decides, and where nothing is typed the key's name."""
    assert keycap(code, typed) == cap


@pytest.mark.parametrize(
    ("event", "intent"),
    [
        (key(pygame.K_SPACE, " "), Action.PLAY),
        (key(pygame.K_RIGHT), Action.ON),
        (key(pygame.K_UP), Action.TEMPO_UP),
        (key(pygame.K_MINUS, "-"), Action.SLOWER),
        (key(pygame.K_z, "z"), None),
        (pygame.event.Event(pygame.QUIT), Action.QUIT),
        (pygame.event.Event(pygame.MOUSEMOTION, pos=(0, 0)), None),
    ],
)
def test_events_become_intents(
    event: pygame.event.Event, intent: Intent | None, scene: tuple[PlayScreen, Picture, Canvas]
) -> None:
    """Keys in force ask for their action, others for nothing."""
    assert intent_of(event, *scene) is intent


def test_every_target_asks_for_its_own_intent_when_clicked(scene: tuple[PlayScreen, Picture, Canvas]) -> None:
    """A click in the middle of each key does what the key does."""
    for target in scene[1].targets:
        middle = (target.rect.x + target.rect.width / 2, target.rect.y + target.rect.height / 2)
        click = pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=1, pos=middle)
        assert intent_of(click, *scene) == target.intent


def test_the_wheel_slows_and_quickens(scene: tuple[PlayScreen, Picture, Canvas]) -> None:
    """Away from any key, up is faster and down is slower."""
    pygame.mouse.set_pos((640, 300))
    pygame.event.pump()
    assert intent_of(wheel(1), *scene) is Action.FASTER
    assert intent_of(wheel(-1), *scene) is Action.SLOWER


def test_the_wheel_with_shift_changes_the_tempo(scene: tuple[PlayScreen, Picture, Canvas]) -> None:
    """Up is more beats a minute."""
    pygame.key.set_mods(pygame.KMOD_SHIFT)
    try:
        assert intent_of(wheel(1), *scene) is Action.TEMPO_UP
        assert intent_of(wheel(-1), *scene) is Action.TEMPO_DOWN
    finally:
        pygame.key.set_mods(pygame.KMOD_NONE)
