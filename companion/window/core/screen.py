"""The interface between the window and its screens: what each must do, and what it returns."""

from __future__ import annotations

import enum
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeAlias, runtime_checkable

from companion.window.core.actions import Action, Intent, LetGo, Seek
from companion.window.core.display import Display
from companion.window.core.hints import Hint
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
class Beneath:
    """The result of a screen that lies over another: close it, then do this for the one beneath."""

    result: Answer


@dataclass(frozen=True, slots=True)
class Canvas:
    """What a picture is laid out for: size of the window in pixels, display settings, and the measure of words."""

    width: int
    height: int
    display: Display
    measure: Measure

    @property
    def page(self) -> Page:
        """The measures of its page."""
        return Page.of(self.width, self.height, self.measure)


class Screen(Protocol):
    """One screen of the window: it makes pictures, and carries out what the user asks."""

    def keycaps(self) -> Sequence[tuple[str, Action]]:
        """The keys in force: what is printed on each, and its action."""

    def sheet(self, display: Display) -> Sequence[Hint]:
        """All that can be done here, as the sheet shows it; empty where there is nothing but what is at the foot."""

    def act(self, intent: Intent) -> Answer:
        """Carry out an intent; a screen that is returned is opened on top of this one."""

    def tick(self) -> Answer | None:
        """Do what is due by time; called once a frame. What it answers is carried out as after an intent."""

    def picture(self, canvas: Canvas) -> Picture:
        """The picture of the screen at this moment."""

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """What a click at (x, y) asks for where no target of the picture lies; None for nothing."""

    def close(self) -> None:
        """Let go of everything the screen holds: it will not be shown again."""


Answer: TypeAlias = ScreenResult | Screen | Beneath
"""What follows once a screen has carried out an intent; a screen is opened on top of it."""


class StillScreen:
    """The part of a screen on which nothing moves by itself, only targets can be clicked, and nothing is held."""

    def tick(self) -> ScreenResult | Screen | None:
        """Nothing moves here."""
        return None

    def press(self, x: float, y: float, canvas: Canvas) -> Intent | None:
        """Nothing but targets can be clicked."""
        return None

    def close(self) -> None:
        """Nothing is held."""


@dataclass(frozen=True, slots=True)
class Grab:
    """What the pointer took hold of: what a tap and a long press on it ask for, and what letting go after either.

    drag: what dragging it to an x of the window asks for.
    """

    tap: Intent
    hold: Intent
    drag: Callable[[float], Intent]
    release: Intent


def dragged_lanes(at_s: float, now_s: float, time_at: Callable[[float], float]) -> Grab:
    """Lanes that are dragged through time, taken hold of at the moment `at_s`, while the present is `now_s`; seconds.

    A tap goes to the moment under the pointer. time_at: from an x of the window to the moment that stood there.
    """
    return Grab(Seek(at_s), Seek(at_s), lambda x: Seek(now_s + at_s - time_at(x)), LetGo())


@runtime_checkable
class PointerTaker(Protocol):
    """A screen on which the pointer can take hold of something that is no target."""

    def grab(self, x: float, y: float, canvas: Canvas) -> Grab | None:
        """What lies at (x, y) to be taken hold of; None for nothing."""

    def hover(self, at: tuple[float, float] | None) -> None:
        """The pointer rests at a place of the window; None: it left."""


@dataclass(frozen=True, slots=True)
class KeyMove:
    """A key of the computer went down or up. `scancode` tells its place on the keyboard, whatever is printed on it."""

    scancode: int
    down: bool
    shifted: bool


@runtime_checkable
class KeyTaker(Protocol):
    """A screen on which some of the computer's keys may play the chanter instead of asking for an action."""

    def take_key(self, move: KeyMove) -> bool:
        """Use a key for playing; returns False where it is left to its action."""

    def lose_keys(self) -> None:
        """Take all keys to be up: the window lost the keyboard, so that no release will be told."""


@runtime_checkable
class Nested(Protocol):
    """A screen on which Esc may have something to put away before the screen, or the full screen, is left."""

    @property
    def nested(self) -> bool:
        """Whether it has now."""


@runtime_checkable
class Projected(Protocol):
    """A screen that is shown in a way of its own, whatever is set."""

    def projected(self, display: Display) -> Display:
        """The display for it."""


@runtime_checkable
class TextTaker(Protocol):
    """A screen that is told of letters as `Typed`: of every key that types one and is not among its keycaps."""

    @property
    def written(self) -> str:
        """What was typed so far."""
