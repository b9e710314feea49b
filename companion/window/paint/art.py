"""Draws the chanter's wood, its holes and the fingers as surfaces."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt
import pygame

from companion.window.core.marks import Side
from companion.window.core.theme import Colour, Theme
from companion.window.paint.sprites import smooth

_FINE = 3

# The outline of the chanter from the top of the picture to its foot: how far down (share of its height) and how wide
# (share of the tube's width). A rounded top, the long tube, a sole.
_PROFILE = (
    (0.0, 0.70),
    (0.010, 0.90),
    (0.030, 0.96),
    (0.935, 1.04),
    (0.945, 1.10),
    (0.953, 1.60),
    (0.985, 1.72),
    (1.0, 1.50),
)
_WIDEST = 1.8


def _shade(across: npt.NDArray[np.float64], dark: Colour, middle: Colour, light: Colour) -> npt.NDArray[np.float64]:
    """Colours of a cylinder in the light; `across` runs from -1 at its left edge to 1 at its right."""
    stops = np.array([-1.0, -0.72, -0.42, -0.2, 0.35, 1.0])
    colours = np.array([dark, middle, light, middle, middle, dark], dtype=np.float64)
    return np.stack([np.interp(across, stops, colours[:, channel]) for channel in range(3)], axis=-1)


@lru_cache(maxsize=8)
def chanter(width: int, height: int, theme: Theme) -> pygame.Surface:
    """The chanter, its tube `width` wide, in a surface _WIDEST times as wide."""
    columns, rows = round(width * _WIDEST) * _FINE, height * _FINE
    down = (np.arange(rows) + 0.5) / rows
    half = np.interp(down, *np.array(_PROFILE).T) * width * _FINE / 2
    offset = np.arange(columns) + 0.5 - columns / 2
    across = offset[:, None] / half[None, :]
    pixels = _shade(np.clip(across, -1, 1), theme.wood_edge, theme.wood, theme.wood_light)
    surface = pygame.Surface((columns, rows), pygame.SRCALPHA)
    pygame.surfarray.blit_array(surface.subsurface(surface.get_rect()), pixels.astype(np.uint8))
    alpha = pygame.surfarray.pixels_alpha(surface)
    alpha[:] = np.where(np.abs(across) <= 1, 255, 0)
    del alpha
    return pygame.transform.smoothscale(surface, (columns // _FINE, height))


@lru_cache(maxsize=64)
def hole(radius: float, closed: bool, behind: bool, theme: Theme) -> pygame.Surface:
    """A hole: a dark disc when closed, a light one with a dark rim when open; one behind the wood is a thinner ring."""
    half = int(radius) + 3
    fill = theme.hole if closed else theme.hole_rim

    def paint(surface: pygame.Surface, scale: int) -> None:
        middle = (half * scale, half * scale)
        pygame.draw.circle(surface, theme.hole_rim if closed else theme.hole, middle, (radius + 1.6) * scale)
        pygame.draw.circle(surface, fill, middle, radius * scale)
        if behind:
            pygame.draw.circle(surface, theme.wood, middle, radius * 0.45 * scale)

    return smooth(2 * half, 2 * half, theme.hole, paint)


@lru_cache(maxsize=32)
def finger(length: int, thickness: int, side: Side, theme: Theme) -> pygame.Surface:
    """A finger that reaches from `side`, its tip at the other end; towards the hand it fades."""
    width, height = length + 4, thickness + 4

    def paint(surface: pygame.Surface, scale: int) -> None:
        body = pygame.Rect(2 * scale, 2 * scale, (length + thickness) * scale, thickness * scale)
        radius = thickness * scale // 2
        pygame.draw.rect(surface, theme.skin_line, body.inflate(2.4 * scale, 2.4 * scale), border_radius=radius + scale)
        pygame.draw.rect(surface, theme.skin, body, border_radius=radius)
        gleam = pygame.Rect(body.x + radius * 0.7, body.y + body.h * 0.14, body.w, body.h * 0.26)
        pygame.draw.rect(surface, theme.skin_light, gleam, border_radius=gleam.h // 2)
        for share in (0.50, 0.55):
            x = body.x + share * length * scale
            arc = pygame.Rect(x, body.y + body.h * 0.12, thickness * scale * 0.28, body.h * 0.76)
            pygame.draw.arc(surface, theme.skin_line, arc, 1.9, 4.4, max(1, round(scale * 0.9)))

    surface = smooth(width, height, theme.skin_line, paint)
    _fade(surface)
    return surface if side is Side.RIGHT else pygame.transform.flip(surface, True, False)


def _fade(surface: pygame.Surface) -> None:
    alpha = pygame.surfarray.pixels_alpha(surface)
    columns = alpha.shape[0]
    fade = np.interp(np.arange(columns) / columns, (0.0, 0.60, 1.0), (1.0, 1.0, 0.0))
    alpha[:] = (alpha * fade[:, None]).astype(np.uint8)
