"""The program's own window, drawing at 1080p while something else goes on: the load that messages must get through."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

import pygame

from companion.commands.shared.tune_list import bundled_tunes
from companion.schedule.timing import Timing
from companion.window.program import Opening, play_screen
from companion.window.shell import Shell, WindowSize


def draw_while(going_on: Callable[[], bool]) -> int:
    """Run the window on a tune, into memory, while `going_on()`, asked before each frame; returns the frames drawn."""
    tunes = bundled_tunes()
    frames = 0

    def before_frame() -> None:
        nonlocal frames
        frames += 1
        if not going_on():
            pygame.event.post(pygame.event.Event(pygame.QUIT))

    driver, interval_s = os.environ.get("SDL_VIDEODRIVER"), sys.getswitchinterval()
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    try:
        pygame.display.quit()
        opening = Opening(tunes, tunes[0], Timing(slow_down=4.0), size=WindowSize(1920, 1080))
        Shell(play_screen(opening), opening.display, opening.size).run(before_frame)
    finally:
        sys.setswitchinterval(interval_s)
        os.environ.pop("SDL_VIDEODRIVER")
        if driver is not None:
            os.environ["SDL_VIDEODRIVER"] = driver
    return frames
