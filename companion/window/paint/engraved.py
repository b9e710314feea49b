"""Turns the masks of engraved music into surfaces of one colour."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pygame

from companion.window.core.marks import InkMask
from companion.window.core.theme import Colour

Part = tuple[int, int, int, int]
"""The x, y, width and height of a rectangle of a mask, in pixels."""


@lru_cache(maxsize=8)
def lines(mask: InkMask, part: Part, colour: Colour) -> pygame.Surface:
    """The staff lines within a part of a mask, in a colour."""
    return _tinted(mask, mask.lines, part, colour)


@lru_cache(maxsize=64)
def notes(mask: InkMask, part: Part, colour: Colour) -> pygame.Surface:
    """All but the staff lines within a part of a mask, in a colour."""
    return _tinted(mask, mask.notes, part, colour)


def _tinted(mask: InkMask, ink: bytes, part: Part, colour: Colour) -> pygame.Surface:
    x, y, width, height = part
    surface = pygame.Surface((width, height), pygame.SRCALPHA)
    surface.fill((*colour, 0))
    covered = np.frombuffer(ink, np.uint8).reshape(mask.height, mask.width)[y : y + height, x : x + width]
    alpha = pygame.surfarray.pixels_alpha(surface)
    alpha[:] = covered.T
    del alpha
    return surface
