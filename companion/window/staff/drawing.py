"""Engraves bars of a tune and draws them as pixels: what the engraver's process does, and whoever makes one picture."""

from __future__ import annotations

import math
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path

import pygame

from companion.files.lines import one_line
from companion.score.engrave.single.coloured import coloured
from companion.score.engrave.single.line import LineDrawing, NoteHead, engrave_line
from companion.score.engrave.single.reckoned import reckoned_widths
from companion.score.engrave.single.resvg_pixels import load_resvg, png_of_svg
from companion.score.engrave.verovio_toolkit import load_verovio
from companion.score.model import Tune
from companion.window.core.marks import InkMask, Rect
from companion.window.staff.cuts import StaffCut
from companion.window.staff.staff_line import LEAST_SPACE_PX, EngravedLine, StaffHead, StaffRoom
from fingering.errors import UserError

LOOSEST = 2.5
"""Notes are spread to so many times the room that they need at most: further apart they would not read as a line."""

SMALLEST = 0.75
"""What does not fit is drawn no smaller than by so much: gracenotes could not be read."""

_GROUND, _LINES, _NOTES = "#000000", "#ff0000", "#00ff00"  # so red tells how far lines cover a pixel, green notes


def draw_line(tune: Tune, cut: StaffCut, room: StaffRoom, fonts: Sequence[Path] = ()) -> EngravedLine:
    """Some bars of a tune on a line that fills the width of a room, or is as wide as can be read.

    Where they need more room than there is, all of it is a little smaller; a bar that does not fit so, as one of a slow
    air without metre, is wider than its room. fonts: files of the type in which the numbers of endings are set. Raises
    UserError where they cannot be engraved.
    """
    wide = min(room.spaces, reckoned_widths(tune).of(cut.first, cut.stop) * LOOSEST)
    drawing = engrave_line(tune, cut.first, cut.stop, wide)
    space = _space_within(drawing, room)
    if space < room.space:
        drawing = engrave_line(tune, cut.first, cut.stop, max(wide, room.width / space))
    top = max(room.middle_px - 2 * space, math.ceil(drawing.above * space))
    png = png_of_svg(coloured(drawing, space, top, room.height, _LINES, _NOTES), fonts, ground=_GROUND)
    pixels = pygame.image.load(BytesIO(png), "x.png")
    lines, notes = (plane(pixels).T.tobytes() for plane in (pygame.surfarray.array_red, pygame.surfarray.array_green))
    heads = tuple(_head(head, space, top) for head in drawing.heads)
    return EngravedLine(InkMask(*pixels.get_size(), lines, notes), heads, top, space)


def _space_within(drawing: LineDrawing, room: StaffRoom) -> int:
    """The space of staff lines with which a drawing is no higher than its room, nor wider, if it can be read so."""
    by_width = max(room.width / drawing.width + 0.02, room.space * SMALLEST)
    by_height = room.height / (drawing.above + 4.0 + drawing.below)
    return max(LEAST_SPACE_PX, min(room.space, int(by_width), int(by_height)))


def _head(head: NoteHead, space: int, top: int) -> StaffHead:
    place = Rect(head.x * space, top + (head.y - head.height / 2) * space, head.width * space, head.height * space)
    return StaffHead(head.id, place)


def _why_not() -> str:
    """One line about what is missing that engraves; "" where nothing is."""
    try:
        load_verovio()
        load_resvg()
    except UserError as error:
        return one_line(str(error))
    return ""


class StaffAtOnce:
    """A source of lines that engraves what it is asked for while it is asked: for single pictures and films.

    trouble: one line about what is missing or could not be engraved, "" where all could. fonts: as `draw_line` takes
    them.
    """

    def __init__(self, fonts: Sequence[Path] = ()) -> None:
        self.trouble = _why_not()
        self._fonts = tuple(fonts)
        self._lines: dict[tuple[int, StaffCut, StaffRoom], EngravedLine | None] = {}
        self._tunes: dict[int, Tune] = {}

    @property
    def is_there(self) -> bool:
        """Whether there can be any: until something could not be engraved."""
        return not self.trouble

    @property
    def is_ready(self) -> bool:
        """From the beginning."""
        return self.is_there

    def line(self, tune: Tune, cut: StaffCut, room: StaffRoom) -> EngravedLine | None:
        """Some bars of a tune in a room; None where they cannot be engraved."""
        self._tunes[id(tune)] = tune  # kept, so that no other gets its identity
        key = id(tune), cut, room
        if key not in self._lines:
            self._lines[key] = self._engraved(tune, cut, room)
        return self._lines[key]

    def _engraved(self, tune: Tune, cut: StaffCut, room: StaffRoom) -> EngravedLine | None:
        try:
            return draw_line(tune, cut, room, self._fonts)
        except UserError as error:
            self.trouble = one_line(str(error))
            return None
