"""Draws one picture of a screen without a window, and writes it as a PNG file."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pygame

from companion.files.writing import write_whole
from companion.window.core.display import Display, Print
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen
from companion.window.paint.draw import Painter, new_surface
from companion.window.paint.lettering import Lettering, text_size


def paint_still(picture: Picture, display: Display, lettering: Lettering) -> pygame.Surface:
    """A picture on a surface of its own."""
    surface = new_surface((picture.width, picture.height))
    Painter(display.theme, lettering).paint(surface, picture)
    return surface


def lettering_for(size: tuple[int, int], display: Display) -> Lettering:
    """The lettering of a window of that size, (width, height) in pixels."""
    return Lettering(text_size(*size, display.print is Print.BIG))


def write_still(screen: Screen, display: Display, size: tuple[int, int], path: Path, *, force: bool = False) -> None:
    """Draw a screen as it stands, `size` = (width, height) pixels, into a PNG file.

    force: whether an existing file is written over. Raises UserError where it cannot be written.
    """
    lettering = lettering_for(size, display)
    picture = screen.picture(Canvas(*size, display, lettering))
    png = BytesIO()
    pygame.image.save(paint_still(picture, display, lettering), png, "x.png")
    write_whole(path, png.getvalue(), force=force)
