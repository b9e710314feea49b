"""Turns the mouse and fingers on glass, wherever there is no target, into intents."""

from __future__ import annotations

from collections.abc import Callable

import pygame

from companion.window.core.actions import Intent
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, PointerTaker, Screen
from companion.window.keyboard import LEFT_BUTTON
from companion.window.pointer import Gesture, Pinch

RESTS_S = 4.0
"""For so long after it moved, what lies under the pointer is named; then it is in nobody's way."""


class Pointing:
    """The press that is under way, and where the pointer rests. clock: in seconds."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._gesture: Gesture | None = None
        self._pinch = Pinch()
        self._moved_s: float | None = None

    def let_go(self) -> None:
        """Forget the press: it was meant for another screen."""
        self._gesture = None

    def follow(self, event: pygame.event.Event, top: Screen, picture: Picture, canvas: Canvas) -> Intent | None:
        """What an event asks the top screen for; None for nothing."""
        match event.type:
            case pygame.MOUSEBUTTONDOWN if event.button == LEFT_BUTTON and _is_free(event.pos, picture):
                x, y = event.pos
                grab = top.grab(x, y, canvas) if isinstance(top, PointerTaker) else None
                self._gesture = Gesture(grab, x, y, self._clock())
            case pygame.MOUSEMOTION:
                return self._moved(event, top)
            case pygame.MOUSEBUTTONUP if event.button == LEFT_BUTTON and self._gesture:
                gesture, self._gesture = self._gesture, None
                return gesture.released()
            case pygame.WINDOWLEAVE if isinstance(top, PointerTaker):
                top.hover(None)
            case pygame.MULTIGESTURE:
                return self._pinch.moved(event.pinched)
        return None

    def pass_time(self, top: Screen) -> Intent | None:
        """What the time that passed asks for, once a frame: a long press, or that a pointer at rest is let be."""
        now_s = self._clock()
        if self._moved_s is not None and now_s - self._moved_s > RESTS_S and isinstance(top, PointerTaker):
            self._moved_s = None
            top.hover(None)
        return self._gesture.passed(now_s) if self._gesture else None

    def _moved(self, event: pygame.event.Event, top: Screen) -> Intent | None:
        if isinstance(top, PointerTaker) and event.rel != (0, 0):  # a window that opens under it tells no movement
            self._moved_s = self._clock()
            top.hover(event.pos)
        return self._gesture.moved(*event.pos) if self._gesture else None


def _is_free(at: tuple[int, int], picture: Picture) -> bool:
    """Whether no target lies there."""
    return not any(target.rect.holds(*at) for target in picture.targets)
