"""One picture of a screen without a window."""

from __future__ import annotations

from pathlib import Path

import pygame

from companion.window.display import Display, Print
from companion.window.draw import Painter
from companion.window.lettering import Lettering, text_size
from companion.window.marks import Picture
from companion.window.screen import Canvas, Screen
from fingering.errors import UserError


def paint_still(picture: Picture, display: Display, lettering: Lettering) -> pygame.Surface:
    """A picture on a surface of its own."""
    surface = pygame.Surface((picture.width, picture.height), 0, 32)
    Painter(display.theme, lettering).paint(surface, picture)
    return surface


def lettering_for(size: tuple[int, int], display: Display) -> Lettering:
    """The lettering of a window of that size."""
    return Lettering(text_size(*size, display.print is Print.BIG))


def write_still(screen: Screen, display: Display, size: tuple[int, int], path: Path) -> None:
    """A screen as it stands, `size` = (width, height) pixels, as a PNG file. Raises UserError."""
    lettering = lettering_for(size, display)
    picture = screen.picture(Canvas(*size, display, lettering))
    try:
        pygame.image.save(paint_still(picture, display, lettering), str(path))
    except (pygame.error, OSError) as error:
        raise UserError(f"the picture cannot be written ({error})", "choose another place for it", str(path)) from None
