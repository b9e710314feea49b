"""A passage at a tempo of its own: where the tempo falls or rises at once, and then stays."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, combinations, pairwise
from statistics import median

STEP = 0.12
"""A tempo that differs by this share is another one: a player slows by a tenth over a phrase."""

WANDERS = 0.15
"""Within a passage and outside of it the tempo may stray, in standard deviations, by this share of the step between
them. Of a tempo that comes and goes as a sine does, the best passage leaves more."""

MOST_CUTS = 256
"""Of more bars than this not each is tried as the beginning of a passage: the work grows with their square."""

LEAST_WINDOWS = 12
"""A passage, and what is left of the take, have so many notes besides those between them."""


@dataclass(frozen=True, slots=True)
class TempoPassage:
    """Played notes `first` to `last`, whole bars, went at `qpm` crotchets a minute and the others at `rest_qpm`.

    to_end: whether the take ended with it.
    """

    first: int
    last: int
    qpm: float
    rest_qpm: float
    to_end: bool


def passage_of(windows: Sequence[tuple[int, float]], bars: Sequence[range], reach: int) -> TempoPassage | None:
    """Return the passage of whole bars, from some bar after the first, whose tempo differs most clearly from that of
    the rest; None where none does, or where tempo wanders as well.

    windows: the tempo around each played note, in crotchets a minute. bars: the played notes of each bar. reach: a
    window so many notes away is all on one side of where the tempo changes.
    """
    logs = [math.log(qpm) for _, qpm in windows]
    sums, squares = ([0.0, *accumulate(each)] for each in (logs, [log**2 for log in logs]))
    best: tuple[float, int, int] | None = None
    for first, stop in _cuts([played for played, _ in windows], bars):
        count = stop - first
        rest = len(logs) - count
        if min(count, rest) < LEAST_WINDOWS + reach:
            continue
        inner = sums[stop] - sums[first]
        left = squares[-1] - inner**2 / count - (sums[-1] - inner) ** 2 / rest
        if best is None or left < best[0]:
            best = (left, first, stop)
    return None if best is None else _passage(windows, logs, best[1], best[2], reach)


def _cuts(played: Sequence[int], bars: Sequence[range]) -> Iterator[tuple[int, int]]:
    """Yield the ranks, first and one past the last, of windows between two beginnings of bars, or to the end."""
    tried = bars[:: 1 + len(bars) // MOST_CUTS]
    furthest = list(accumulate(played, max))  # who begins again comes by earlier notes once more
    begins = {bisect_left(furthest, bar.start) for bar in tried} - {0}
    yield from combinations(sorted({*begins, len(played)}), 2)


def _passage(
    windows: Sequence[tuple[int, float]], logs: Sequence[float], first: int, stop: int, reach: int
) -> TempoPassage | None:
    """Return windows `first` to `stop` - 1 as a passage, if their tempo is another and both are steady."""
    edges = [first, *([stop] if stop < len(logs) else [])]
    clear = [rank for rank in range(len(logs)) if all(abs(rank - edge) >= reach for edge in edges)]
    inner = [logs[rank] for rank in clear if first <= rank < stop]
    rest = [logs[rank] for rank in clear if not first <= rank < stop]
    if not inner or not rest:
        return None
    own, others = median(inner), median(rest)
    step = abs(own - others)
    off = [*(log - own for log in inner), *(log - others for log in rest)]
    strays = math.sqrt(sum(each**2 for each in off) / len(off))
    if step < math.log(1.0 + STEP) or strays > WANDERS * step:
        return None
    last = windows[stop - 1][0]
    return TempoPassage(windows[first][0], last, math.exp(own), math.exp(others), stop == len(logs))


def bars_of(turns: Sequence[int]) -> list[range]:
    """Return the played notes of each bar, from the turn of each played note."""
    starts = [0, *(rank for rank, (one, two) in enumerate(pairwise(turns), start=1) if one != two), len(turns)]
    return [range(one, two) for one, two in pairwise(starts)]
