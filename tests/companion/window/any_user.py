"""A user, a touch screen and a system that send a window whatever they may, drawn by chance."""

from __future__ import annotations

import random
import string
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pygame

from companion.midi.maps.keys import KeyLayout, UpperHand
from companion.window.shell import SMALLEST
from tests.companion.window import scenes
from tests.companion.window.choose.choosing import book_text, tune_text

NAMED = (
    *(pygame.K_SPACE, pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN, pygame.K_RETURN, pygame.K_ESCAPE),
    *(pygame.K_PAGEUP, pygame.K_PAGEDOWN, pygame.K_HOME, pygame.K_END, pygame.K_TAB, pygame.K_BACKSPACE),
    *(pygame.K_DELETE, pygame.K_F1, pygame.K_F5, pygame.K_F11, pygame.K_F12, pygame.K_KP_PLUS, pygame.K_KP_MINUS),
    *(pygame.K_KP_ENTER, pygame.K_LSHIFT, pygame.K_LCTRL, pygame.K_PRINTSCREEN, pygame.K_MENU, 0),
)
TYPED = string.ascii_letters + string.digits + "+-.,[]?;=_ éßñ\u0301\u05d0\u200b\U0001f600\x00\x1b\ufffd"
MODIFIERS = (0, 0, 0, 0, pygame.KMOD_SHIFT, pygame.KMOD_CTRL, pygame.KMOD_ALT, pygame.KMOD_META, pygame.KMOD_CAPS)
SIZES = (SMALLEST, (1, 1), (640, 900), (1000, 480), *scenes.SIZES)
PLAYING = tuple(KeyLayout.for_upper_hand(UpperHand.LEFT).scancodes)
Event = pygame.event.Event


def files_to_drop(folder: Path) -> tuple[str, ...]:
    """Tunes, a book, what is neither, folders, what is gone, and odd names. The folder is made."""
    texts = {
        "one.abc": tune_text(1, "One"),
        "ö book.abc": book_text(("First", "Second", "Third")),
        "torn.abc": tune_text(1, "Torn", bars="{gA2 w3|b2 c2|]\n"),
        "low.abc": "X:1\nT:Low\nM:2/4\nL:1/8\nK:HP\nC2E2|G2A2|\n",
        "empty.abc": "",
        "picture.abc": "\x89PNG\r\n\x00\x00",
        "a\nb \u202e.abc": tune_text(1, "Odd"),
        f"{'w' * 240}.abc": tune_text(1, "W" * 300),
    }
    (folder / "folder").mkdir(parents=True)
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return (
        *(str(folder / name) for name in (*texts, "folder", "gone.abc", "..")),
        "",
        ".",
        "/dev/null",
        "\x00",
        "x" * 5000,
    )


class AnyUser:
    """Draws events from chance, each of a kind that a window can be sent."""

    def __init__(self, draw: random.Random, files: tuple[str, ...]) -> None:
        self._draw = draw
        self._files = files
        self._at = (0, 0)
        self._kinds: Mapping[Callable[[], Iterator[Event]], int] = {
            self._key: 50,
            self._playing_key: 8,
            self._press: 10,
            self._release: 8,
            self._move: 10,
            self._wheel: 6,
            self._touch: 5,
            self._pinch: 3,
            self._drop: 1,
            self._resize: 1,
            self._system: 3,
        }

    def next(self) -> list[Event]:
        """What comes next: an event, or a few that belong together."""
        (kind,) = self._draw.choices(tuple(self._kinds), tuple(self._kinds.values()))
        return list(kind())

    def _key(self) -> Iterator[Event]:
        typed, key = "", self._draw.choice(NAMED)
        if self._draw.random() < 0.6:
            typed = self._draw.choice(TYPED)
            key = ord(typed.lower()[0])
        mod = self._draw.choice(MODIFIERS)
        yield Event(pygame.KEYDOWN, key=key, unicode=typed, mod=mod, scancode=0)
        if self._draw.random() < 0.3:
            yield Event(pygame.TEXTINPUT, text=typed or "\u00fc")
        if self._draw.random() < 0.7:
            yield Event(pygame.KEYUP, key=key, unicode=typed, mod=mod, scancode=0)

    def _playing_key(self) -> Iterator[Event]:
        kind = self._draw.choice((pygame.KEYDOWN, pygame.KEYUP))
        yield Event(kind, key=0, unicode="", mod=self._draw.choice(MODIFIERS), scancode=self._draw.choice(PLAYING))

    def _place(self) -> tuple[int, int]:
        """Anywhere in the window, now and then at its edges or a little outside."""
        width, height = pygame.display.get_surface().get_size()
        if self._draw.random() < 0.1:
            return self._draw.choice((-1, 0, width - 1, width)), self._draw.choice((-1, 0, height - 1, height))
        return self._draw.randrange(width), self._draw.randrange(height)

    def _press(self) -> Iterator[Event]:
        self._at = self._place()
        yield Event(pygame.MOUSEBUTTONDOWN, button=self._draw.choice((1, 1, 1, 2, 3, 7)), pos=self._at, touch=False)

    def _release(self) -> Iterator[Event]:
        yield Event(pygame.MOUSEBUTTONUP, button=self._draw.choice((1, 1, 1, 2, 3)), pos=self._at, touch=False)

    def _move(self) -> Iterator[Event]:
        for _ in range(self._draw.randrange(1, 4)):
            before, self._at = self._at, self._place()
            rel = (self._at[0] - before[0], self._at[1] - before[1])
            yield Event(pygame.MOUSEMOTION, pos=self._at, rel=rel, buttons=(1, 0, 0), touch=False)

    def _wheel(self) -> Iterator[Event]:
        x, y = self._draw.choice(((0, 1), (0, -1), (1, 0), (-1, 0), (0, 0), (0, 40)))
        yield Event(pygame.MOUSEWHEEL, x=x, y=y, flipped=False, precise_x=float(x), precise_y=float(y))

    def _touch(self) -> Iterator[Event]:
        """A finger, and the mouse that SDL makes of it."""
        place = self._place()
        finger: dict[str, Any] = {
            "touch_id": 1,
            "finger_id": self._draw.randrange(3),
            "x": 0.5,
            "y": 0.5,
            "dx": 0.1,
            "dy": 0.0,
        }
        yield Event(pygame.FINGERDOWN, **finger)
        yield Event(pygame.MOUSEBUTTONDOWN, button=1, pos=place, touch=True)
        if self._draw.random() < 0.5:
            self._at = self._place()
            yield Event(pygame.FINGERMOTION, **finger)
            yield Event(pygame.MOUSEMOTION, pos=self._at, rel=(3, 4), buttons=(1, 0, 0), touch=True)
        if self._draw.random() < 0.8:
            yield Event(pygame.FINGERUP, **finger)
            yield Event(pygame.MOUSEBUTTONUP, button=1, pos=self._at, touch=True)

    def _pinch(self) -> Iterator[Event]:
        pinched = self._draw.uniform(-0.1, 0.1)
        yield Event(pygame.MULTIGESTURE, touch_id=1, x=0.5, y=0.5, pinched=pinched, rotated=0.0, num_fingers=2)

    def _drop(self) -> Iterator[Event]:
        yield Event(pygame.DROPBEGIN)
        yield Event(pygame.DROPFILE, file=self._draw.choice(self._files))
        yield Event(pygame.DROPCOMPLETE)

    def _resize(self) -> Iterator[Event]:
        width, height = self._draw.choice(SIZES)
        yield Event(pygame.VIDEORESIZE, w=width, h=height, size=(width, height))

    def _system(self) -> Iterator[Event]:
        kinds = (pygame.WINDOWFOCUSLOST, pygame.WINDOWFOCUSGAINED, pygame.WINDOWLEAVE, pygame.WINDOWENTER)
        rest = (pygame.WINDOWMINIMIZED, pygame.WINDOWEXPOSED, pygame.KEYMAPCHANGED, pygame.CLIPBOARDUPDATE)
        yield Event(self._draw.choice((*kinds, *kinds, *rest)))
