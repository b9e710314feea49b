"""Turns the masks of engraved music into surfaces of one colour."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pygame

from companion.window.core.marks import InkMask
from companion.window.core.theme import Colour

Part = tuple[int, int, int, int]
"""The x, y, width and height of a rectangle of a mask, in pixels."""

_LINES_KEPT, _PARTS_KEPT = 8, 64
"""Surfaces that are kept: of whole lines, which take a megabyte each at 1920x1080, and of the parts around heads."""


def lines(mask: InkMask, part: Part, colour: Colour) -> pygame.Surface:
    """The staff lines within a part of a mask, in a colour."""
    return (_whole if part[2] > mask.height else _around_head)(mask, mask.lines, part, colour)


def notes(mask: InkMask, part: Part, colour: Colour) -> pygame.Surface:
    """All but the staff lines within a part of a mask, in a colour."""
    return (_whole if part[2] > mask.height else _around_head)(mask, mask.notes, part, colour)


def _tinted(mask: InkMask, ink: bytes, part: Part, colour: Colour) -> pygame.Surface:
    x, y, width, height = part
    surface = pygame.Surface((width, height), pygame.SRCALPHA)
    surface.fill((*colour, 0))
    covered = np.frombuffer(ink, np.uint8).reshape(mask.height, mask.width)[y : y + height, x : x + width]
    alpha = pygame.surfarray.pixels_alpha(surface)
    alpha[:] = covered.T
    del alpha
    return surface


_whole = lru_cache(maxsize=_LINES_KEPT)(_tinted)
_around_head = lru_cache(maxsize=_PARTS_KEPT)(_tinted)
