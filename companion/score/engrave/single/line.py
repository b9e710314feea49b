"""Engraves one line of staff, and finds in its drawing where each note stands."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from types import MappingProxyType
from xml.etree.ElementTree import Element, fromstring

from companion.score.engrave.pages import LOOK
from companion.score.engrave.single.mei_line import mei_of_line
from companion.score.engrave.verovio_toolkit import OptionValue, engrave_pages
from companion.score.model import Tune
from companion.score.staff.spell import staff_of
from fingering.errors import UserError

SPACE = 180.0
"""The distance of two staff lines in a drawing of Verovio's."""

_PAGE_UNITS = 18.0  # and in the sizes of pages that it is told
_TALL = 5400
_MEET_SPACES = 0.05
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_SVG, _LINK = "{http://www.w3.org/2000/svg}", "{http://www.w3.org/1999/xlink}href"
_BLACK_HEAD = 1.26  # the width of a note head in spaces, in the font that is used: crotchets and minims, then others
_WIDTHS = MappingProxyType({"E0A2": 1.72, "E0A0": 2.4, "E4E3": 1.2, "E4E4": 1.2, "E4E5": 1.1, "E4E6": 1.0})
_PLAIN_SCALE = 0.72
_REST_HEIGHT = 2.4
_GLYPH_ABOVE = 0.9  # how far signs reach from the place they are drawn at, but for clefs, which reach less than stems
_LOOK: dict[str, OptionValue] = {
    **LOOK,
    "header": "none",
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "pageHeight": _TALL,
    "adjustPageHeight": True,
    "minLastJustification": 0.0,
    "scale": 100,
}


@dataclass(frozen=True, slots=True)
class NoteHead:
    """Where the head of a note, of a gracenote or a rest stands: its left edge and middle, its width and height.

    In spaces, from the left end of the line and from the topmost staff line downwards. id: as `mei_of` gives it.
    """

    id: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class LineDrawing:
    """A line of staff as Verovio drew it, `width` spaces wide, and the heads of its notes from left to right.

    above, below: how far it reaches above the topmost staff line and below the lowest, in spaces. svg: its drawing,
    180 units to a space, in which the topmost staff line is at `top_units`.
    """

    svg: str
    heads: tuple[NoteHead, ...]
    width: float
    above: float
    below: float
    top_units: float


def engrave_line(tune: Tune, first: int, stop: int, room: float) -> LineDrawing:
    """Engrave bars first to stop - 1 of a tune on one line, spread over `room` spaces; it is wider where it must be.

    Raises UserError where they cannot be engraved.
    """
    up_to_here = replace(tune, bars=tune.bars[:stop])  # what is tied over from before has to be known, what follows not
    mei = mei_of_line(tune, staff_of(up_to_here)[first:])
    spread = _drawn(mei, {**_LOOK, "breaks": "line", "pageWidth": round(room * _PAGE_UNITS)})
    if spread is not None and not _squeezed(spread):
        return spread
    natural = _drawn(mei, {**_LOOK, "breaks": "none", "adjustPageWidth": True})
    if natural is None:
        raise UserError("these bars cannot be engraved", "see whether the tune is whole")
    return natural


def _drawn(mei: str, options: dict[str, OptionValue]) -> LineDrawing | None:
    """The drawing; None where it took more than one line."""
    (svg, *more) = engrave_pages(mei, options)
    return _measured(svg) if not more and svg.count('class="system"') == 1 else None


def _squeezed(drawing: LineDrawing) -> bool:
    """Whether heads meet: Verovio puts a single bar on a line that has no room for it."""
    return any(one.x + one.width > other.x + _MEET_SPACES for one, other in pairwise(drawing.heads))


def _measured(svg: str) -> LineDrawing:
    root = fromstring(svg)
    shapes = next(each for each in root.iter() if _is(each, "page-margin"))
    staffs = [each for each in shapes.iter() if _is(each, "staff")]
    lines = [_numbers(path.get("d")) for staff in staffs for path in staff if path.tag == f"{_SVG}path"]
    top = min(line[1] for line in lines)
    reach = [y for each in shapes.iter() for y in _reach(each)]
    heads = sorted(_heads(shapes, top), key=lambda head: head.x)
    return LineDrawing(
        svg,
        tuple(heads),
        max(line[2] for line in lines) / SPACE,
        (top - min(reach)) / SPACE,
        (max(reach) - top) / SPACE - 4.0,
        top,
    )


def _is(element: Element, kind: str) -> bool:
    return kind in element.get("class", "").split()


def _numbers(text: str | None) -> list[float]:
    return [float(each) for each in _NUMBER.findall(text or "")]


def _heads(shapes: Element, top: float) -> Iterator[NoteHead]:
    for note in shapes.iter():
        is_rest = _is(note, "rest")
        if not is_rest and not _is(note, "note"):
            continue
        use = next((each for each in note.iter(f"{_SVG}use")), None)
        if use is None:
            continue
        x, y, scale, *_ = _numbers(use.get("transform"))
        glyph = use.get(_LINK, "")[1:5]
        size = scale / _PLAIN_SCALE
        yield NoteHead(
            note.get("id", ""),
            x / SPACE,
            2.0 if is_rest else (y - top) / SPACE,
            _WIDTHS.get(glyph, _BLACK_HEAD) * size,
            _REST_HEIGHT if is_rest else size,
        )


def _reach(element: Element) -> Iterator[float]:
    """Yield the heights that a shape reaches."""
    if element.tag == f"{_SVG}use" and not element.get(_LINK, "").startswith("#E050"):
        y = _numbers(element.get("transform"))[1]
        yield from (y - _GLYPH_ABOVE * SPACE, y + _GLYPH_ABOVE * SPACE)
    elif element.tag == f"{_SVG}path":
        yield from _numbers(element.get("d"))[1::2]
    elif element.tag == f"{_SVG}polygon":
        yield from _numbers(element.get("points"))[1::2]
