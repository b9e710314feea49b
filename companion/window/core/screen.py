"""What the window asks of a screen, and what a screen answers."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from companion.window.core.actions import Action, Intent
from companion.window.core.display import Display
from companion.window.core.marks import Measure, Picture
from companion.window.core.page import Page


class ScreenResult(enum.Enum):
    """What the window does once a screen has carried out an intent: keep it, close it, or end the program.

    After CLOSE the screen beneath it on the stack is shown again.
    """

    STAY = "stay"
    CLOSE = "close"
    QUIT = "quit"


@dataclass(frozen=True, slots=True)
class Canvas:
    """What a picture is laid out for: the window's size in pixels, the display settings, the measure of words."""

    width: int
    height: int
    display: Display
    measure: Measure

    @property
    def page(self) -> Page:
        """The measures of its page."""
        return Page.of(self.width, self.height, self.measure)


class Screen(Protocol):
    """One screen of the window: a view model, and a way to change it."""

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force, as printed, and what each asks for."""

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Carry out an intent; a screen as the answer is opened on top of this one."""

    def tick(self) -> None:
        """Take note of the time; called once a frame."""

    def picture(self, canvas: Canvas) -> Picture:
        """The picture at this moment."""

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """What a click asks for where no target of the picture lies."""

    def close(self) -> None:
        """The screen goes for good: let go of what it holds."""


class StillScreen:
    """The part of a screen on which nothing moves by itself, only targets can be clicked, and nothing is held."""

    def tick(self) -> None:
        """Nothing moves here."""

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""


@dataclass(frozen=True, slots=True)
class KeyMove:
    """A key of the computer went down or came up. `scancode` is its place, whatever is printed there."""

    scancode: int
    down: bool
    shifted: bool


@runtime_checkable
class KeyTaker(Protocol):
    """A screen on which some keys may play instead of asking for something."""

    def take_key(self, move: KeyMove) -> bool:
        """Take a key for itself, or leave it to what it asks for."""

    def lose_keys(self) -> None:
        """No key will come for a while: take all to be up."""
