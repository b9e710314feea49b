"""How long the table of 256 states and the map of 72 pairs take, beside openwind's time for the same table.

Run as ``python3 -m tests.bench.bench_acoustics``. Both programs search the same frequencies: ours with a grid and a few
steps of the secant method, openwind with a grid of POINTS, just enough for 0.1 cents by a polynomial through six.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from fingering.acoustics.elements import SeriesTerm
from fingering.acoustics.ladder import ALL_STATES, Model, resonances
from fingering.acoustics.sounding import reference_chanter
from fingering.crossings import difficulty as difficulty_module
from fingering.crossings.analysis import all_pairs
from tests.fingering.acoustics.openwind_referee import openwind_hz

ROUNDS = 7
POINTS = 100
TABLE_GOAL_MS = 20.0
PAIRS_GOAL_MS = 100.0
RATIO_GOAL = 100.0


def best_ms(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """The shortest of a few runs, in ms."""
    times = []
    for _ in range(rounds):
        start_s = time.perf_counter()
        work()
        times.append(1000.0 * (time.perf_counter() - start_s))
    return min(times)


def fresh_pairs() -> object:
    """The map of all pairs with nothing remembered from an earlier run."""
    difficulty_module._chance_of_pattern.cache_clear()
    difficulty_module._grid.cache_clear()
    return all_pairs()


def main() -> None:
    """Measure and print."""
    model = Model(reference_chanter(), series=SeriesTerm.DUBOS)
    table_ms = best_ms(lambda: resonances(model))
    start_s = time.perf_counter()
    theirs = openwind_hz(model.chanter, ALL_STATES, matched=True, points=POINTS)
    theirs_ms = 1000.0 * (time.perf_counter() - start_s)
    apart = 1200.0 * np.log2(np.array(resonances(model).frequencies_hz) / theirs)
    print(f"table of 256 states: {table_ms:.1f} ms (goal: at most {TABLE_GOAL_MS:g})")
    print(
        f"openwind, the same table: {theirs_ms:.0f} ms, {theirs_ms / table_ms:.0f} times as long"
        f" (goal: at least {RATIO_GOAL:g}); they differ by at most {np.max(np.abs(apart)):.3f} cents"
    )
    print(f"72 pairs analysed: {best_ms(fresh_pairs):.1f} ms (goal: at most {PAIRS_GOAL_MS:g})")


if __name__ == "__main__":
    main()
