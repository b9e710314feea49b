"""Which bars stand together on a line of staff: phrases, as many as have room, and none cut that need not be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from companion.score.engrave.line_breaks import BarWidths
from companion.score.engrave.single.reckoned import reckoned_widths
from companion.score.model import Part, Tune


@dataclass(frozen=True, slots=True)
class StaffCut:
    """Bars first to stop - 1 of a tune, on one line of staff."""

    first: int
    stop: int


def staff_cuts(tune: Tune, room: float, most_phrases: int) -> tuple[StaffCut, ...]:
    """All bars of a tune on lines of `most_phrases` phrases at most, which have `room` spaces of the staff each.

    Each part begins a line, and where two of its phrases have no room together, all of them stand alone. A phrase that
    has no room is cut at bars; a bar that has none stands alone.
    """
    widths = reckoned_widths(tune)
    return tuple(cut for part in tune.parts for cut in _of_part(part, widths, room, most_phrases))


def fits(tune: Tune, cut: StaffCut, room: float) -> bool:
    """Whether bars have room on one line of that many spaces, as far as can be reckoned."""
    return reckoned_widths(tune).of(cut.first, cut.stop) <= room


def _of_part(part: Part, widths: BarWidths, room: float, most: int) -> Iterator[StaffCut]:
    starts = sorted({part.first, *(phrase.first for phrase in part.phrases)})
    for together in range(most, 0, -1):
        bounds = [*starts[::together], part.stop]
        cuts = [StaffCut(first, stop) for first, stop in pairwise(bounds)]
        if all(widths.of(cut.first, cut.stop) <= room for cut in cuts):
            yield from cuts
            return
    for first, stop in pairwise([*starts, part.stop]):
        yield from _of_phrase(first, stop, widths, room)


def _of_phrase(first: int, stop: int, widths: BarWidths, room: float) -> Iterator[StaffCut]:
    """Yield a phrase in as few lines as have room, of about as many bars each."""
    for lines in range(1, stop - first + 1):
        bounds = [first + round((stop - first) * each / lines) for each in range(lines + 1)]
        cuts = [StaffCut(one, other) for one, other in pairwise(bounds)]
        if lines == stop - first or all(widths.of(cut.first, cut.stop) <= room for cut in cuts):
            yield from cuts
            return
