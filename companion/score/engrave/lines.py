"""Engraves a tune line by line: each line a picture of its own, for pages that hold other things too."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.score.engrave.line_breaks import BarWidths, cut_evenly, line_starts
from companion.score.engrave.mei import mei_of
from companion.score.engrave.pages import LOOK, finished
from companion.score.engrave.style import StaffStyle
from companion.score.engrave.verovio_toolkit import engrave_pages
from companion.score.model import Tune

_VIEW = re.compile(r'viewBox="0 0 (\d+) (\d+)"')
_SCALE = 40
"""Units of a drawing to a hundred of its page's tenths of a millimetre."""
_LEAST_PAGE = 100
"""Tenths of a millimetre: the lowest page that Verovio knows, lower than a line. So each line has a page of its own."""
_AROUND = 12
"""Tenths of a millimetre above, below and right of a line: what strokes need beyond what Verovio reckons with."""
_USUAL_SPACING, _WIDE_SPACING = 0.25, 0.36
"""Verovio's own, with which bars are measured; and that of excerpts, which are not widened to fill a line, if there is
room for it."""
WIDER = 1.4
"""How much wider than it was measured an excerpt is then: at most, as our tunes show."""
OVERHANG = 60
"""Tenths of a millimetre: so far a line's picture reaches out to the left of its staff, where a bar's number stands."""


@dataclass(frozen=True, slots=True)
class LineOnPaper:
    """A line of music as SVG: the indices of its bars, its width and height on paper in tenths of a millimetre.

    The picture begins OVERHANG left of the staff, for whatever size.
    """

    svg: str
    bars: range
    width: float
    height: float


def engrave_lines(tune: Tune, style: StaffStyle, widths: BarWidths, room: int, size: float) -> tuple[LineOnPaper, ...]:
    """The lines of a whole tune, which end with phrases.

    widths: of its bars. room: the width of a line, in tenths of a millimetre. size: of the staff, 1.0 is 7.2 mm high.
    Raises UserError.
    """
    starts = line_starts(tune, widths, room / size)
    stretches = [range(first, stop) for first, stop in pairwise([*starts, len(tune.bars)])]
    mei = mei_of(tune, style, breaks=starts)
    return tuple(_engraved(mei, stretches, room, size, justified=True))


def engrave_excerpts(
    tune: Tune, style: StaffStyle, widths: BarWidths, room: int, size: float, excerpts: Sequence[range]
) -> tuple[tuple[LineOnPaper, ...], ...]:
    """For each stretch of bars of a tune its lines, no wider than their music needs: one, if there is room for it.

    Raises UserError.
    """
    cut = [list(_lines_of(excerpt, widths, room / size)) for excerpt in excerpts]
    stretches = [line for lines in cut for line in lines]
    mei = mei_of(tune, style, breaks=[line.start for line in stretches], excerpts=excerpts)
    wide = max(widths.of(line.start, line.stop) for line in stretches) * WIDER <= room / size
    engraved = _engraved(mei, stretches, room, size, justified=False, wide=wide)
    return tuple(tuple(next(engraved) for _ in lines) for lines in cut)


def _lines_of(excerpt: range, widths: BarWidths, room: float) -> Iterator[range]:
    starts = cut_evenly(excerpt, widths, room)
    yield from (range(first, stop) for first, stop in pairwise([*starts, excerpt.stop]))


def _engraved(
    mei: str, stretches: Sequence[range], room: int, size: float, *, justified: bool, wide: bool = False
) -> Iterator[LineOnPaper]:
    left = round(OVERHANG / size)
    look = {
        **LOOK,
        "breaks": "line",
        "header": "none",
        "pageWidth": left + round(room / size) + _AROUND,
        "pageHeight": _LEAST_PAGE,
        "pageMarginLeft": left,
        "pageMarginRight": _AROUND,
        "pageMarginTop": _AROUND,
        "pageMarginBottom": _AROUND,
        "adjustPageHeight": True,
        # The last line of a movement is widened only if it is filled so far; excerpts are movements.
        "minLastJustification": LOOK["minLastJustification"] if justified else 1.0,
        "mdivAll": True,
        "spacingLinear": _WIDE_SPACING if wide else _USUAL_SPACING,
        "adjustPageWidth": not justified,
        "svgFormatRaw": True,
        "scale": _SCALE,
    }
    pages = engrave_pages(mei, look)
    for bars, page in zip(stretches, pages, strict=True):
        view = _VIEW.search(page)
        assert view is not None
        width, height = (int(each) * size * 100 / _SCALE for each in view.groups())
        yield LineOnPaper(finished(page), bars, width, height)
