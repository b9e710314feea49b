"""Where the lines of a page end: between phrases, each part on lines of its own, filled as evenly as can be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate

from companion.score.model import Part, Tune


@dataclass(frozen=True, slots=True)
class BarWidths:
    """How wide the bars of a tune are when nothing squeezes them, all in one unit.

    bars: of each bar, without what stands before the first note of a line. lead: clef and key signature.
    """

    bars: tuple[float, ...]
    lead: float

    def of(self, first: int, stop: int) -> float:
        """The width of a line with bars first to stop - 1."""
        return self.lead + sum(self.bars[first:stop])


def line_starts(tune: Tune, widths: BarWidths, room: float) -> tuple[int, ...]:
    """The indices of the bars that begin a line of width `room`, 0 among them, in order."""
    return tuple(start for part in tune.parts for start in _of_part(part, widths, room))


def cut_evenly(bars: range, widths: BarWidths, room: float) -> list[int]:
    """The bars that begin a line of width `room`: a stretch is cut at any bar, and no more often than it must be."""
    return _fewest_lines(range(bars.start, bars.stop + 1), widths, room)


def well_filled(tune: Tune, widths: BarWidths, room: float) -> bool:
    """Whether two phrases stand on each line, wherever a part has that many, and no phrase is cut."""
    starts = line_starts(tune, widths, room)
    phrase_starts = {phrase.first for part in tune.parts for phrase in part.phrases}
    lines = sum(-(-len(part.phrases) // 2) for part in tune.parts)
    return set(starts) <= phrase_starts | {part.first for part in tune.parts} and len(starts) <= max(1, lines)


def _of_part(part: Part, widths: BarWidths, room: float) -> Iterator[int]:
    """The bars of a part that begin a line; a phrase wider than a line is cut at a bar."""
    cuts = [part.first]
    for phrase in part.phrases:
        if phrase.first > cuts[-1]:
            cuts.append(phrase.first)
        if widths.of(phrase.first, phrase.stop) > room:
            cuts += range(cuts[-1] + 1, phrase.stop)
    yield from _fewest_lines([*cuts, part.stop], widths, room)


def _fewest_lines(cuts: Sequence[int], widths: BarWidths, room: float) -> list[int]:
    """Of all ways to end lines at `cuts` the one with the fewest lines, and of those the one that fills them evenly."""
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
    ends = list(accumulate(widths.bars, initial=0.0))
    for stop in range(1, len(cuts)):
        options = []
        for first in range(stop - 1, -1, -1):
            filled = (widths.lead + ends[cuts[stop]] - ends[cuts[first]]) / room
            if filled > 1.0 and first < stop - 1:
                break
            lines, unevenness, _ = best[first]
            options.append((lines + 1, unevenness + (1.0 - filled) ** 2, first))
        best.append(min(options))
    starts: list[int] = []
    at = len(cuts) - 1
    while at:
        at = best[at][2]
        starts.append(cuts[at])
    return starts[::-1]
