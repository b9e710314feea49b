"""The search for the likeliest way, held against trying every one."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest

from companion.hearing.path import NO_PITCH, HeardStretch, PathFinder
from companion.hearing.spectra import Floats

LEAVING = np.array([1.0, 2.0, 0.5], np.float32)
ENTERING = np.array([0.5, 1.0, 1.5], np.float32)


def cheapest(costs: Floats) -> float:
    """The cost of the cheapest way, by trying all."""
    ways = product(range(3), repeat=len(costs))
    return min(total(costs, way) for way in ways)


def total(costs: Floats, way: tuple[int, ...]) -> float:
    """What a way costs."""
    changes = sum(float(LEAVING[a] + ENTERING[b]) for a, b in pairwise(way) if a != b)
    return changes + float(sum(costs[at, state] for at, state in enumerate(way)))


def states(stretches: list[HeardStretch]) -> tuple[int, ...]:
    """A way frame by frame."""
    return tuple(
        2 if each.pitch == NO_PITCH else each.pitch for each in stretches for _ in range(each.first, each.stop)
    )


@pytest.mark.parametrize("seed", range(8))
def test_no_way_is_cheaper(seed: int) -> None:
    """Of all ways through eight frames of three states."""
    costs = np.random.default_rng(seed).uniform(0.0, 4.0, (8, 3)).astype(np.float32)
    finder = PathFinder(LEAVING, ENTERING)
    found = [*finder.go_on(costs), *finder.finish()]
    # What is entered first costs nothing, as in `total`: all states begin alike.
    assert total(costs, states(found)) == pytest.approx(cheapest(costs), abs=1e-4)


def test_a_long_way_in_blocks_is_the_same() -> None:
    """What is settled early is what would be found in the end, and costs are summed over blocks."""
    random = np.random.default_rng(3)
    which = np.repeat(random.integers(0, 3, 60), 40)
    costs = random.uniform(0.0, 1.0, (len(which), 3)).astype(np.float32)
    costs[np.arange(len(which)), which] -= 0.5
    whole, parts = PathFinder(LEAVING, ENTERING), PathFinder(LEAVING, ENTERING)
    at_once = [*whole.go_on(costs), *whole.finish()]
    in_parts = [each for at in range(0, len(costs), 333) for each in parts.go_on(costs[at : at + 333])]
    in_parts += parts.finish()
    assert states(at_once) == states(in_parts)
    assert [each.first for each in at_once] == [each.first for each in in_parts]
    for one, other in zip(at_once, in_parts, strict=True):
        assert one.costs == pytest.approx(other.costs, abs=1e-3)


def test_the_way_through_a_whole_is_that_which_is_settled_piece_by_piece() -> None:
    """Without what it costs."""
    costs = np.random.default_rng(4).uniform(0.0, 4.0, (900, 3)).astype(np.float32)
    whole, settled = PathFinder(LEAVING, ENTERING), PathFinder(LEAVING, ENTERING)
    whole.take_in(costs)
    found = [*settled.go_on(costs), *settled.finish()]
    assert len(found) > 10
    assert whole.whole_way() == [HeardStretch(each.pitch, each.first, each.stop) for each in found]
