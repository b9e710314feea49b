"""Draws small shapes with smooth edges: four times too large, shrunk once, cached."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import pygame

from companion.window.core.marks import Direction
from companion.window.core.theme import Colour

OVERSAMPLE = 4
PHASES = 4  # places within a pixel at which the end of a stripe is kept ready


def smooth(width: int, height: int, ground: Colour, paint: Callable[[pygame.Surface, int], None]) -> pygame.Surface:
    """A `width` x `height` surface painted by `paint(surface, scale)` at OVERSAMPLE times the size and shrunk.

    `ground` is the colour, fully transparent, that edges fade into: without it they would fade through black.
    """
    large = pygame.Surface((width * OVERSAMPLE, height * OVERSAMPLE), pygame.SRCALPHA)
    large.fill((*ground, 0))
    paint(large, OVERSAMPLE)
    return pygame.transform.smoothscale(large, (width, height))


@lru_cache(maxsize=256)
def dot(radius: float, colour: Colour, filled: bool) -> pygame.Surface:
    """A disc or a ring, centred in a square surface."""
    half = int(radius) + 2
    line = max(1.5, radius * 0.28)

    def paint(surface: pygame.Surface, scale: int) -> None:
        thickness = 0 if filled else round(line * scale)
        pygame.draw.circle(surface, colour, (half * scale, half * scale), radius * scale, thickness)

    return smooth(2 * half, 2 * half, colour, paint)


@lru_cache(maxsize=512)
def stripe(quarter_width: int, phase: int, thickness: int, colour: Colour) -> pygame.Surface:
    """A short stripe with rounded ends, `quarter_width` / PHASES wide; it begins `phase` / PHASES into its surface."""
    width = (quarter_width + phase + PHASES - 1) // PHASES + 1
    step = OVERSAMPLE // PHASES

    def paint(surface: pygame.Surface, scale: int) -> None:
        rect = pygame.Rect(phase * step, 0, quarter_width * step, thickness * scale)
        radius = min(rect.width // 2, round(thickness * scale * 0.3))
        pygame.draw.rect(surface, colour, rect, border_radius=radius)

    return smooth(width, thickness, colour, paint)


@lru_cache(maxsize=64)
def arrow(size: float, direction: Direction, colour: Colour) -> pygame.Surface:
    """An arrow with a stem, pointing up or down, in a square surface."""
    side = int(size) + 2
    shaft = max(1.6, size * 0.13)

    def paint(surface: pygame.Surface, scale: int) -> None:
        middle, top, bottom = side * scale / 2, scale * 1.0, (side - 1.0) * scale
        head = size * 0.48 * scale
        points = [(middle, top), (middle + head * 0.8, top + head), (middle - head * 0.8, top + head)]
        pygame.draw.polygon(surface, colour, points)
        stem = pygame.Rect(0, 0, round(shaft * scale), round(bottom - top - head * 0.7))
        stem.midbottom = (round(middle), round(bottom))
        pygame.draw.rect(surface, colour, stem, border_radius=round(scale * 0.6))

    surface = smooth(side, side, colour, paint)
    return surface if direction is Direction.UP else pygame.transform.flip(surface, False, True)


@lru_cache(maxsize=256)
def arch(width: int, height: int, line: float, colour: Colour) -> pygame.Surface:
    """The upper half of an ellipse as a line, `width` x `height`."""

    def paint(surface: pygame.Surface, scale: int) -> None:
        rect = pygame.Rect(0, 0, width * scale, 2 * height * scale)
        pygame.draw.ellipse(surface, colour, rect, max(1, round(line * scale)))

    return smooth(width, height, colour, paint)


@lru_cache(maxsize=64)
def frame(width: int, height: int, line: float, radius: float, colour: Colour) -> pygame.Surface:
    """A rounded outline."""

    def paint(surface: pygame.Surface, scale: int) -> None:
        pygame.draw.rect(surface, colour, surface.get_rect(), round(line * scale), round(radius * scale))

    return _stretched(width, height, max(line, radius), colour, paint)


@lru_cache(maxsize=64)
def plate(width: int, height: int, radius: float, colour: Colour) -> pygame.Surface:
    """A filled rectangle with rounded corners."""

    def paint(surface: pygame.Surface, scale: int) -> None:
        pygame.draw.rect(surface, colour, surface.get_rect(), border_radius=round(radius * scale))

    return _stretched(width, height, radius, colour, paint)


def _stretched(
    width: int, height: int, edge: float, colour: Colour, paint: Callable[[pygame.Surface, int], None]
) -> pygame.Surface:
    """A `smooth` surface that is alike everywhere farther than `edge` from its sides: painted small, then drawn out.

    To paint one of the window's size as a whole takes a tenth of a second, in which the picture would stand still.
    """
    corner = math.ceil(edge) + 2
    side = 2 * corner + 1
    if min(width, height) <= side:
        return smooth(width, height, colour, paint)
    wide = _drawn_out(smooth(side, side, colour, paint), width, side, corner)
    return _drawn_out(wide, width, height, corner)


def _drawn_out(small: pygame.Surface, width: int, height: int, corner: int) -> pygame.Surface:
    """The surface made wider or taller, by its pixels `corner` from its left or its top, over and over."""
    surface = pygame.Surface((width, height), pygame.SRCALPHA)
    if width > small.get_width():
        middle, rest = width - small.get_width(), (corner, 0, small.get_width() - corner, height)
        column = pygame.transform.scale(small.subsurface((corner, 0, 1, height)), (middle, height))
        parts = (((0, 0), small.subsurface((0, 0, corner, height))), ((corner, 0), column))
        last = (corner + middle, 0)
    else:
        middle, rest = height - small.get_height(), (0, corner, width, small.get_height() - corner)
        row = pygame.transform.scale(small.subsurface((0, corner, width, 1)), (width, middle))
        parts = (((0, 0), small.subsurface((0, 0, width, corner))), ((0, corner), row))
        last = (0, corner + middle)
    for at, part in (*parts, (last, small.subsurface(rest))):
        part.set_alpha(None)  # copied as it is, with its transparency, and not mixed with what is empty
        surface.blit(part, at)
    return surface
