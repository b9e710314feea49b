"""Engraves a tune on pages: lines that end with phrases, the largest staff on which they fit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from xml.etree.ElementTree import Element, fromstring

from companion.score.engrave.line_breaks import BarWidths, line_starts, well_filled
from companion.score.engrave.mei import mei_of
from companion.score.engrave.paper import A4, STAFF_SIZES, Paper
from companion.score.engrave.style import StaffStyle, TitlePlace
from companion.score.engrave.tempo_signs import with_tempo_signs
from companion.score.engrave.verovio_toolkit import OptionValue, engrave_pages
from companion.score.model import Tune

_PLAIN = StaffStyle()
# Verovio's drawings have ten units to one of the page.
_UNITS = 10.0
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
NEVER_SO_WIDE = 100_000
_ITS_SERIF, _OUR_SERIF = 'font-family="Times, serif"', 'font-family="Source Serif Pro, Times, serif"'
LOOK: Mapping[str, OptionValue] = MappingProxyType(
    {
        "font": "Leipzig",
        "footer": "none",
        "beamMaxSlope": 0,  # the beams of an embellishment lie level, those of the melody too
        "graceFactor": 0.66,
        "spacingSystem": 6,
        "topMarginHarm": 1.5,
        "minLastJustification": 0.55,
        "svgViewBox": True,
    }
)
"""Verovio's options that make music look as pipers print it, whatever is made of it."""


@dataclass(frozen=True, slots=True)
class Engraving:
    """A tune on paper: each page as SVG, the bars that begin a line, and the staff's size (1.0: 7.2 mm high)."""

    pages: tuple[str, ...]
    line_starts: tuple[int, ...]
    staff_size: float


def engrave(tune: Tune, style: StaffStyle = _PLAIN, paper: Paper = A4, *, trimmed: bool = False) -> Engraving:
    """Engrave a tune on pages of a paper. trimmed: the pages end where their music does. Raises UserError."""
    widths = bar_widths(tune, style)
    room = float(paper.room)
    size = next((size for size in STAFF_SIZES if well_filled(tune, widths, room / size)), STAFF_SIZES[2])
    starts = line_starts(tune, widths, room / size)
    look = {
        **LOOK,
        "breaks": "line",
        "header": "none" if style.title is TitlePlace.NONE else "encoded",
        "pageWidth": round(paper.width / size),
        "pageHeight": round(paper.height / size),
        "pageMarginLeft": round(paper.margin / size),
        "pageMarginRight": round(paper.margin / size),
        "pageMarginTop": round(paper.margin / size),
        "pageMarginBottom": round(paper.margin / size),
        "adjustPageHeight": trimmed,
        "scale": 40,
    }
    pages = engrave_pages(mei_of(tune, replace(style, room=room / size), breaks=starts), look)
    return Engraving(tuple(finished(page) for page in pages), starts, size)


def finished(page: str) -> str:
    """A page of Verovio's with the notes of its tempos drawn, and its words in the project's own serif."""
    return with_tempo_signs(page).replace(_ITS_SERIF, _OUR_SERIF)


def bar_widths(tune: Tune, style: StaffStyle = _PLAIN) -> BarWidths:
    """How wide each bar is in one long line, in tenths of a millimetre of a staff of size 1.0."""
    look = {**LOOK, "breaks": "none", "header": "none", "adjustPageWidth": True, "noJustification": True,
            "pageMarginLeft": 0, "pageMarginRight": 0, "pageWidth": NEVER_SO_WIDE}  # fmt: skip
    (page,) = engrave_pages(mei_of(tune, style), look)
    measures = [each for each in fromstring(page).iter() if _is(each, "measure")]
    ends = [_staff_end(measure) for measure in measures]
    lead = _lead(measures[0])
    widths = tuple((end - begin) / _UNITS for begin, end in zip([lead, *ends[:-1]], ends, strict=True))
    return BarWidths(widths, lead / _UNITS)


def _is(element: Element, kind: str) -> bool:
    return kind in element.get("class", "").split()


def _staff_end(measure: Element) -> float:
    """Where a measure ends: its staff lines are paths "M x y L x y"."""
    staff = next(each for each in measure.iter() if _is(each, "staff"))
    return float(_NUMBER.findall(staff[0].get("d", ""))[2])


def _lead(first: Element) -> float:
    """How wide clef and key signature are: up to the metre, else up to the first note of the first measure."""
    for kind in ("meterSig", "note", "rest"):
        sign = next((each for each in first.iter() if _is(each, kind)), None)
        use = None if sign is None else next((each for each in sign.iter() if each.get("transform")), None)
        if use is not None:
            return float(_NUMBER.findall(use.get("transform", ""))[0])
    return 0.0
