"""How long the list of all embellishments takes to open and to be searched at 1920x1080 drawn to memory.

Run: python3 -m tests.bench.bench_catalogue
"""

from __future__ import annotations

import time
from statistics import median

import pygame

from companion.window.core.actions import Action, Intent, Typed
from companion.window.core.display import Display
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.embellishments.catalogue_screen import CatalogueScreen
from companion.window.paint.draw import Painter
from tests.companion.window.lettered import lettering_for

SIZE = (1920, 1080)
OPENINGS = 50
SEARCHES = ("taorluath low a", "half doubling", "GdGeAfA", "cutting from low g")
GOAL_MS = 16.0


class Bench:
    """A window's surface, and what is drawn on it."""

    def __init__(self) -> None:
        self._display = Display()
        lettering = lettering_for(SIZE, self._display)
        self._canvas = Canvas(*SIZE, self._display, lettering)
        self._lettering = lettering
        self._surface = pygame.Surface(SIZE, 0, 32)

    def opened_ms(self) -> float:
        """From nothing to the list drawn, with a painter that has drawn nothing yet."""
        painter = Painter(self._display.theme, self._lettering)
        start_s = time.process_time()
        painter.paint(self._surface, CatalogueScreen(_nothing).picture(self._canvas))
        return (time.process_time() - start_s) * 1000.0

    def keys_ms(self, search: str) -> list[float]:
        """From each key of a search to what it finds being drawn, and from one row to the next."""
        painter, screen = Painter(self._display.theme, self._lettering), CatalogueScreen(_nothing)
        painter.paint(self._surface, screen.picture(self._canvas))
        took_ms = []
        intents: list[Intent] = [*map(Typed, search), *[Action.TEMPO_DOWN] * 20]
        for intent in intents:
            start_s = time.process_time()
            screen.act(intent)
            painter.paint(self._surface, screen.picture(self._canvas))
            took_ms.append((time.process_time() - start_s) * 1000.0)
        return took_ms

    def bare_ms(self) -> float:
        """The peer: a bare fill and copy of the same surface."""
        other = pygame.Surface(SIZE, 0, 32)
        start_s = time.process_time()
        other.fill((7, 0, 0))
        self._surface.blit(other, (0, 0))
        return (time.process_time() - start_s) * 1000.0


def _nothing(subject: object) -> ScreenResult:
    return ScreenResult.STAY


def main() -> None:
    """Measure and print, in time of the processor."""
    bench = Bench()
    first_ms = bench.opened_ms()
    opened_ms = [bench.opened_ms() for _ in range(OPENINGS)]
    keys_ms = [each for search in SEARCHES for each in bench.keys_ms(search)]
    bare_ms = median(bench.bare_ms() for _ in range(OPENINGS))
    print(f"the list opened: first {first_ms:.1f} ms, then p50 {median(opened_ms):.1f} ms (goal <= {GOAL_MS:g} ms)")
    print(f"  {median(opened_ms) / bare_ms:.1f} times a bare fill and copy of the same surface ({bare_ms:.2f} ms)")
    print(f"a key of a search, or the next row: p50 {median(keys_ms):.1f} ms, at most {max(keys_ms):.1f} ms")


if __name__ == "__main__":
    main()
