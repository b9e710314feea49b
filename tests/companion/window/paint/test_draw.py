"""How marks become pixels in windows of any size."""

from __future__ import annotations

import pygame
import pytest

from companion.window.core.display import Display
from companion.window.core.marks import Picture, Role, Rule
from companion.window.paint.draw import Painter
from tests.companion.window.lettered import lettering_for


def _height_of_a_line(size: tuple[int, int], width: float) -> int:
    """Draw a level line of that width in a window of that size, and count its pixels from top to bottom."""
    display = Display()
    surface = pygame.Surface(size)
    picture = Picture(*size, (Rule(0.0, 100.0, float(size[0]), 100.0, Role.INK, width),), (), ())
    Painter(display.theme, lettering_for(size, display)).paint(surface, picture)
    column = pygame.surfarray.array3d(surface)[size[0] // 2]
    return int((column == display.theme[Role.INK]).all(axis=1).sum())


@pytest.mark.parametrize(
    ("size", "thick"),
    [((800, 600), 2), ((1920, 1080), 2), ((3840, 2160), 4)],
)
def test_a_thin_line_is_thicker_in_a_very_large_window(size: tuple[int, int], thick: int) -> None:
    """By as much as the window is higher than 1080: else it is a hairline on a hall's screen."""
    assert _height_of_a_line(size, 2.0) == thick


def test_a_line_that_was_made_for_the_window_stays_as_it_is() -> None:
    """Strokes that count something would run into one another."""
    assert _height_of_a_line((3840, 2160), 8.0) == 8
