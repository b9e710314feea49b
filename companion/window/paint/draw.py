"""`Painter`: draws a picture's marks on a surface."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import pygame

from companion.window.core.marks import (
    Anchor,
    Arch,
    Arrow,
    ChanterBody,
    Dot,
    Engraved,
    FingerMark,
    Foot,
    Frame,
    HoleMark,
    Label,
    Mark,
    Picture,
    Role,
    Rule,
    Side,
    Stripe,
    Wash,
)
from companion.window.core.theme import Theme
from companion.window.paint import art, engraved, sprites
from companion.window.paint.lettering import Lettering

_PLAIN_HEIGHT_PX = 1080  # in windows that are higher, thin lines are thicker by as much
_THIN_PX = 3.0  # lines up to this have the same width in every window; thicker ones are made for its size
_LIFT_AWAY = 0.60  # how far a raised finger draws back, in lengths of it
_LIFT_UP = 0.16  # and how far it rises, in thicknesses


def new_surface(size: tuple[int, int], like: pygame.Surface | int = 32) -> pygame.Surface:
    """A surface of `size` pixels in the format of another, or of so many bits a pixel. Raises MemoryError."""
    try:
        return pygame.Surface(size, 0, like)
    except pygame.error as error:
        if "memory" in str(error).lower():  # SDL's own words, which pygame hands on
            raise MemoryError from error
        raise


class Painter:
    """Draws pictures in one theme and lettering; caches the still layer of the last one."""

    def __init__(self, theme: Theme, lettering: Lettering) -> None:
        self.theme = theme
        self.lettering = lettering
        self._still_marks: tuple[Mark, ...] | None = None
        self._still = pygame.Surface((0, 0))
        self._foot_marks: tuple[Mark, ...] | None = None
        self._foot = pygame.Surface((0, 0))
        self._enlarged = 1.0

    def paint(self, surface: pygame.Surface, picture: Picture, foot_strength: float = 1.0) -> None:
        """Draw `picture`, which must have the surface's size; its foot at a strength from 0, unseen, to 1."""
        self._enlarged = max(1.0, surface.get_height() / _PLAIN_HEIGHT_PX)
        foot = picture.foot
        still = (*picture.still, *foot.marks) if foot and foot_strength >= 1.0 else picture.still
        if self._still_marks != still or self._still.get_size() != surface.get_size():
            self._still = self._layer(surface, still)
            self._still_marks = still
        surface.blit(self._still, (0, 0))
        if foot and 0.0 < foot_strength < 1.0:
            self._paint_foot(surface, foot, foot_strength)
        self._draw(surface, picture.moving)

    def _paint_foot(self, surface: pygame.Surface, foot: Foot, strength: float) -> None:
        if self._foot_marks != foot.marks or self._foot.get_size() != surface.get_size():
            self._foot = self._layer(surface, foot.marks)
            self._foot_marks = foot.marks
        top = round(foot.top)
        self._foot.set_alpha(round(255 * strength))
        surface.blit(self._foot, (0, top), (0, top, surface.get_width(), surface.get_height() - top))

    def _layer(self, like: pygame.Surface, marks: Sequence[Mark]) -> pygame.Surface:
        """Marks on the ground, on a surface as large as another. Raises MemoryError."""
        layer = new_surface(like.get_size(), like)
        layer.fill(self.theme[Role.GROUND])
        self._draw(layer, marks)
        return layer

    def _draw(self, surface: pygame.Surface, marks: Sequence[Mark]) -> None:
        for mark in marks:
            _DRAWERS[type(mark)](self, surface, mark)

    def _thick(self, width: float) -> float:
        return width * self._enlarged if width <= _THIN_PX else width

    def _label(self, surface: pygame.Surface, mark: Label) -> None:
        words = self.lettering.render(mark.text, mark.style, self.theme[mark.role])
        width, height = words.get_size()
        back = {Anchor.LEFT: 0.0, Anchor.CENTRE: width / 2, Anchor.RIGHT: float(width)}[mark.anchor]
        surface.blit(words, (round(mark.x - back), round(mark.y - height / 2)))

    def _stripe(self, surface: pygame.Surface, mark: Stripe) -> None:
        colour = self.theme[mark.role]
        thickness = max(2, round(mark.thickness))
        top = round(mark.y - thickness / 2)
        start, stop = round(mark.x0 * sprites.PHASES), round(mark.x1 * sprites.PHASES)
        if stop - start > 2 * thickness * sprites.PHASES:
            cap = thickness * sprites.PHASES
            left, right = (start + cap) // sprites.PHASES, (stop - cap) // sprites.PHASES
            self._short_stripe(surface, start, left * sprites.PHASES + cap // 2, top, thickness, mark.role)
            self._short_stripe(surface, right * sprites.PHASES - cap // 2, stop, top, thickness, mark.role)
            surface.fill(colour, (left, top, right - left, thickness))
        elif stop > start:
            self._short_stripe(surface, start, stop, top, thickness, mark.role)

    def _short_stripe(
        self, surface: pygame.Surface, start: int, stop: int, top: int, thickness: int, role: Role
    ) -> None:
        pixel, phase = divmod(start, sprites.PHASES)
        surface.blit(sprites.stripe(stop - start, phase, thickness, self.theme[role]), (pixel, top))

    def _arch(self, surface: pygame.Surface, mark: Arch) -> None:
        width, height = max(3, round(mark.x1 - mark.x0)), max(3, round(mark.height))
        shape = sprites.arch(width, height, max(1.4, height * 0.17), self.theme[mark.role])
        surface.blit(shape, (round(mark.x0), round(mark.y) - height))

    def _wash(self, surface: pygame.Surface, mark: Wash) -> None:
        rect = pygame.Rect(round(mark.rect.x), round(mark.rect.y), round(mark.rect.width), round(mark.rect.height))
        if mark.radius:
            surface.blit(sprites.plate(rect.w, rect.h, mark.radius, self.theme[mark.role]), rect)
        else:
            surface.fill(self.theme[mark.role], rect)

    def _frame(self, surface: pygame.Surface, mark: Frame) -> None:
        rect = pygame.Rect(round(mark.rect.x), round(mark.rect.y), round(mark.rect.width), round(mark.rect.height))
        line = self._thick(mark.width)
        radius = mark.radius * line / mark.width
        shape = sprites.frame(max(4, rect.w), max(4, rect.h), line, radius, self.theme[mark.role])
        surface.blit(shape, rect)

    def _dot(self, surface: pygame.Surface, mark: Dot) -> None:
        shape = sprites.dot(round(mark.radius * 4) / 4, self.theme[mark.role], mark.filled)
        surface.blit(shape, shape.get_rect(center=(round(mark.x), round(mark.y))))

    def _rule(self, surface: pygame.Surface, mark: Rule) -> None:
        colour, width = self.theme[mark.role], max(1, round(self._thick(mark.width)))
        if mark.x0 == mark.x1:
            surface.fill(colour, (round(mark.x0 - width / 2), round(mark.y0), width, round(mark.y1 - mark.y0)))
        elif mark.y0 == mark.y1:
            surface.fill(colour, (round(mark.x0), round(mark.y0 - width / 2), round(mark.x1 - mark.x0), width))
        else:
            _slanted(surface, replace(mark, width=self._thick(mark.width)), colour)

    def _arrow(self, surface: pygame.Surface, mark: Arrow) -> None:
        shape = sprites.arrow(round(mark.size), mark.direction, self.theme[mark.role])
        surface.blit(shape, shape.get_rect(center=(round(mark.x), round(mark.y))))

    def _chanter(self, surface: pygame.Surface, mark: ChanterBody) -> None:
        body = art.chanter(round(mark.width), round(mark.bottom - mark.top), self.theme)
        surface.blit(body, body.get_rect(midtop=(round(mark.x), round(mark.top))))

    def _hole(self, surface: pygame.Surface, mark: HoleMark) -> None:
        shape = art.hole(round(mark.radius * 2) / 2, mark.closed, mark.behind, self.theme)
        surface.blit(shape, shape.get_rect(center=(round(mark.x), round(mark.y))))

    def _finger(self, surface: pygame.Surface, mark: FingerMark) -> None:
        shape = art.finger(round(mark.length), round(mark.thickness), mark.side, self.theme)
        tip = mark.x - mark.side.sign * mark.thickness * 0.55
        tip += mark.side.sign * mark.lift * mark.length * _LIFT_AWAY
        rect = shape.get_rect(centery=round(mark.y - mark.lift * mark.thickness * _LIFT_UP))
        if mark.side is Side.RIGHT:
            rect.left = round(tip)
        else:
            rect.right = round(tip)
        surface.blit(shape, rect)

    def _engraved(self, surface: pygame.Surface, mark: Engraved) -> None:
        left, top = max(0, round(mark.part.x)), max(0, round(mark.part.y))
        width = min(mark.mask.width, round(mark.part.right)) - left
        height = min(mark.mask.height, round(mark.part.bottom)) - top
        if width <= 0 or height <= 0:
            return
        at, part = (round(mark.x), round(mark.y)), (left, top, width, height)
        if mark.lines is not None:
            surface.blit(engraved.lines(mark.mask, part, self.theme[mark.lines]), at)
        surface.blit(engraved.notes(mark.mask, part, self.theme[mark.notes]), at)


def _slanted(surface: pygame.Surface, mark: Rule, colour: tuple[int, int, int]) -> None:
    """Draw a slanted line as many smooth hairlines, for smooth edges, on a core that fills what shows between them."""
    start, end = pygame.Vector2(mark.x0, mark.y0), pygame.Vector2(mark.x1, mark.y1)
    across = pygame.Vector2(start.y - end.y, end.x - start.x).normalize()
    half = max(0.0, (mark.width - 1.0) / 2.0)
    if half > 1.0:
        core = across * (half - 1.0)
        pygame.draw.polygon(surface, colour, [start + core, end + core, end - core, start - core])
    hairlines = round(half * 4.0)
    for rank in range(hairlines + 1):
        aside = across * (half * (2.0 * rank / hairlines - 1.0)) if hairlines else pygame.Vector2()
        pygame.draw.aaline(surface, colour, start + aside, end + aside)


_DRAWERS: dict[type, Callable[[Painter, pygame.Surface, Any], None]] = {
    Label: Painter._label,
    Stripe: Painter._stripe,
    Arch: Painter._arch,
    Wash: Painter._wash,
    Frame: Painter._frame,
    Dot: Painter._dot,
    Rule: Painter._rule,
    Arrow: Painter._arrow,
    ChanterBody: Painter._chanter,
    HoleMark: Painter._hole,
    FingerMark: Painter._finger,
    Engraved: Painter._engraved,
}
