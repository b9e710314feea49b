"""Whatever is pressed, clicked, turned and resized, in any order, the window goes on."""

from __future__ import annotations

import random
import string
from collections.abc import Iterator

import pygame
import pytest

from companion.midi.maps.keys import KEYS_MAP
from companion.midi.takes.reading import Take, read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.marks import Picture, Style
from companion.window.core.screen import Screen
from companion.window.embellishment_navigation import EMBELLISHMENT_NAVIGATION
from companion.window.navigation import CROSSING_NAVIGATION
from companion.window.play.play_screen import PlayScreen
from companion.window.playing_navigation import take_over
from companion.window.shell import SMALLEST, Shell, WindowSize
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.verdict_screen import VerdictScreen
from tests.companion.window import scenes
from tests.companion.window.players import write_take

pytestmark = pytest.mark.same_everywhere

FRAMES = 250
NAMED = (pygame.K_SPACE, pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN, pygame.K_RETURN, pygame.K_ESCAPE)
SIZES = (SMALLEST, *scenes.SIZES)


@pytest.fixture
def shell(monkeypatch: pytest.MonkeyPatch) -> Iterator[Shell]:
    """A window that draws to memory, with all its navigation, the tune running."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    screen = PlayScreen(
        scenes.state(), SilentPlayer(), choose_tune, {**CROSSING_NAVIGATION, **EMBELLISHMENT_NAVIGATION}
    )
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


def empty(picture: Picture) -> bool:
    """Whether a picture lacks what each screen has: large words, others besides its keys, all of them in sight."""
    words = [label for label in scenes.labels(picture) if label.text and 0 <= label.y < picture.height]
    large = [label for label in words if label.style in (Style.HUGE, Style.LARGE)]
    keys = {target.rect for target in picture.targets if isinstance(target.intent, Action)}
    others = [label for label in words if not any(rect.holds(label.x, label.y) for rect in keys)]
    return not large or len(others) <= len(large)


def press_anything(shell: Shell, draw: random.Random, frames: int) -> Iterator[Screen]:
    """A few things a frame, at random; the screen on top after each frame."""
    for _ in range(frames):
        for _ in range(draw.randrange(3)):
            pygame.event.post(anything(draw))
        if not shell.frame():
            pygame.event.clear()
        yield shell.top


@pytest.mark.parametrize("start", range(4))
def test_nothing_that_is_pressed_breaks_the_window(shell: Shell, start: int) -> None:
    """A frame either goes on or is the last one, because the user left; it never fails, and it is never empty."""
    shell.frame()
    for _ in press_anything(shell, random.Random(start), FRAMES):
        assert shell.picture is not None
        assert not empty(shell.picture)


@pytest.fixture(scope="module")
def take(tmp_path_factory: pytest.TempPathFactory) -> Take:
    """Played finger by finger, some fingers late: there is much to find."""
    tune, timing = scenes.tune(), Timing()
    folder = tmp_path_factory.mktemp("takes")
    return read_take(write_take(folder, tune, build_schedule(tune, timing), timing, KEYS_MAP))


@pytest.mark.parametrize("start", range(4))
def test_nor_does_it_break_a_review(shell: Shell, take: Take, start: int) -> None:
    """Before the take was judged and after, on what was found, in loops, on the verdict and in its drills."""
    draw = random.Random(start)
    seen: set[type[Screen]] = set()
    for _ in range(8):
        beneath = PlayScreen(scenes.state(), SilentPlayer(), choose_tune, CROSSING_NAVIGATION)
        reviewed = take_over(beneath, take)
        if draw.random() < 0.8:
            reviewed.finish_review()
        shell.put(reviewed)
        if draw.random() < 0.5:
            pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=ord("z"), unicode="z", mod=0, scancode=0))
        for top in press_anything(shell, draw, 40):
            seen.add(type(top))
            assert shell.picture is not None
            assert not empty(shell.picture)
        reviewed.finish_review()
    assert {TakeScreen, VerdictScreen} <= seen
