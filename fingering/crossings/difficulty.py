"""Computes how hard a transition is to play clean: the chance that a listener hears a foreign note in it.

Each finger aims at the same moment and misses it by a normal error of its own. A foreign note is heard when the pitch
stays foreign to both ends (passing.FOREIGN_CENTS) for at least AUDIBLE_MS without a break. Errors being alike, all
orders of the fingers are equally likely and independent of how far apart the movements are. So the orders are counted
by where they are foreign, and for each such pattern an integral over ordered normal times gives the chance.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from fingering.crossings.orders import foreign_patterns
from fingering.crossings.timing import AUDIBLE_MS
from fingering.crossings.transition import Transition
from fingering.errors import UserError
from fingering.notes import HARMONIC, Tuning

Floats = NDArray[np.float64]

# Spread (standard deviation) of one finger of a good piper. A choice, no source: taps of musicians scatter by some 10
# ms (2 % of half a second; from memory, Repp 2005), and fingers that move on one impulse by less.
GOOD_SPREAD_MS = 5.0
SPREAD_RANGE_MS = (0.1, 200.0)
AUDIBLE_RANGE_MS = (0.5, 1000.0)

# The integrals are sums on a grid this fine (in spreads), out to where the normal density has died.
GRID_STEP = 0.05
GRID_END = 8.5
QUADRATURE_ERROR = 1e-7
# Integral from one grid point to the next through the six around it, in steps: exact for polynomials of degree 5.
SIX_POINTS = np.array([11.0, -93.0, 802.0, 802.0, -93.0, 11.0]) / 1440.0


def difficulty(
    transition: Transition,
    tuning: Tuning = HARMONIC,
    *,
    spread_ms: float = GOOD_SPREAD_MS,
    audible_ms: float = AUDIBLE_MS,
) -> float:
    """The chance, 0 to 1, that a foreign note is heard, to within QUADRATURE_ERROR.

    spread_ms: standard deviation of each finger's time. audible_ms: from how long a foreign note is heard. Raises
    UserError for a time out of its range.
    """
    _check(spread_ms, audible_ms)
    movers = len(transition.movers)
    patterns = foreign_patterns(transition, tuning)
    heard = sum(
        count * _chance_of_pattern(movers, pattern, audible_ms / spread_ms) for pattern, count in patterns.items()
    )
    return heard / transition.order_count


def _check(spread_ms: float, audible_ms: float) -> None:
    for what, ms, (low, high) in (
        ("a spread", spread_ms, SPREAD_RANGE_MS),
        ("an audible time", audible_ms, AUDIBLE_RANGE_MS),
    ):
        if not low <= ms <= high:
            raise UserError(f"{what} of {ms:g} ms is out of reach", f"choose {low:g} to {high:g} ms")


@lru_cache(maxsize=4096)
def _chance_of_pattern(movers: int, pattern: int, audible: float) -> float:
    """The chance that one of a pattern's foreign runs lasts `audible` spreads or more.

    Movers' times in order are t1 < ... < tn. Those joined by foreign states make a block, whose first and last must lie
    less than `audible` apart for nothing to be heard; blocks only have to follow one another.
    """
    if not pattern:
        return 0.0
    grid = _grid(audible)
    before = np.ones_like(grid.density)  # chance density of all earlier blocks having ended by each grid point
    for size in _blocks(movers, pattern):
        before = grid.integral(_block_end(grid, before, size))
    return 1.0 - math.factorial(movers) * float(before[-1])


def _blocks(movers: int, pattern: int) -> Iterator[int]:
    size = 1
    for place in range(movers - 1):
        if pattern >> place & 1:
            size += 1
        else:
            yield size
            size = 1
    yield size


@dataclass(frozen=True, slots=True)
class _Grid:
    """Normal density and its integral on a grid of `step` spreads; `window` steps make the audible time."""

    density: Floats
    below: Floats
    step: float
    window: int

    def integral(self, values: Floats) -> Floats:
        """Integral of `values` from far below up to each grid point."""
        padded = np.concatenate((np.zeros(2), values, np.zeros(3)))
        pieces = np.convolve(padded, SIX_POINTS, mode="valid") * self.step
        return np.concatenate(([0.0], np.cumsum(pieces[: values.size - 1])))

    def window_integral(self, values: Floats) -> Floats:
        """Integral of `values` over the audible time before each grid point."""
        upto = self.integral(values)
        shifted = np.zeros_like(upto)
        if self.window < upto.size:
            shifted[self.window :] = upto[: upto.size - self.window]
        return upto - shifted


@cache
def _grid(audible: float) -> _Grid:
    window = max(1, math.ceil(audible / GRID_STEP))
    step = audible / window
    places = step * np.arange(-math.ceil(GRID_END / step), math.ceil(GRID_END / step) + 1)
    density = np.exp(-0.5 * places**2) / math.sqrt(2.0 * math.pi)
    bare = _Grid(density, np.zeros_like(density), step, window)
    return _Grid(density, bare.integral(density), step, window)


def _block_end(grid: _Grid, before: Floats, size: int) -> Floats:
    """Density of a block's last time, given where the earlier blocks have ended.

    The times between its first and last may lie anywhere between them: (below(last) - below(first)) ** inner / inner!,
    written out by the binomial theorem so that one running integral does for each power.
    """
    if size == 1:
        return grid.density * before
    inner = size - 2
    total = np.zeros_like(before)
    for power in range(inner + 1):
        window = grid.window_integral(grid.density * before * (-grid.below) ** power)
        total += math.comb(inner, power) * grid.below ** (inner - power) * window
    return grid.density * total / math.factorial(inner)
