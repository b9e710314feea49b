"""Costs by which a way is found, without those of pitches that are far from it."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.hearing.near_costs import CHANGES, EVERY, PairCosts, all_costs, near_costs
from companion.hearing.path import PathFinder
from companion.hearing.spectra import Floats

pytestmark = pytest.mark.same_everywhere

CHANGE_NATS = 8.0
PITCHES = 12


def costs_of_notes(seed: int) -> Floats:
    """Costs of forty notes of 20 to 300 ms, each some 20 nats likelier than all else while it sounds, as windows hear
    them that overlap."""
    random = np.random.default_rng(seed)
    which = np.repeat(random.integers(0, PITCHES, 40), random.integers(8, 120, 40))
    costs = random.uniform(20.0, 60.0, (1, PITCHES)) + random.normal(0.0, 2.0, (len(which), PITCHES))
    costs[np.arange(len(which)), which] = random.uniform(0.0, 2.0, len(which))
    smooth = [np.convolve(each, np.hanning(8) / np.hanning(8).sum(), "same") for each in costs.T]
    return np.stack(smooth, axis=1).astype(np.float32)


def told_by(costs: Floats) -> tuple[PairCosts, list[int]]:
    """What tells these costs, and how many it has told."""
    told: list[int] = []

    def tell(frames: NDArray[np.intp], pitches: NDArray[np.intp] | slice) -> Floats:
        rows = costs[frames] if isinstance(pitches, slice) else costs[frames, pitches][:, np.newaxis]
        told.append(rows.size)
        return rows

    return tell, told


@pytest.mark.parametrize("seed", range(4))
def test_the_way_is_that_by_all_costs(seed: int) -> None:
    """Half of the costs are asked for at most, those near the likeliest are exact, and the way is the same."""
    costs = costs_of_notes(seed)
    tell, told = told_by(costs)
    near = near_costs(tell, np.arange(len(costs)), change_nats=CHANGE_NATS)
    assert sum(told) < 0.5 * costs.size
    likely = costs <= costs.min(axis=1, keepdims=True) + 1.0
    assert np.array_equal(near[likely], costs[likely])
    changes = np.full(PITCHES, 0.5 * CHANGE_NATS, np.float32)
    ways = []
    for each in (near, costs):
        finder = PathFinder(changes, changes)
        finder.take_in(each)
        ways.append(finder.whole_way())
    assert len(ways[1]) > 30
    assert ways[0] == ways[1]


def test_frames_with_gaps_between_them_are_looked_at_from_edge_to_edge() -> None:
    """What lies before a gap says nothing of what lies after it."""
    costs = costs_of_notes(5)
    frames = np.concatenate((np.arange(3, 40), np.arange(301, 350), [600]))
    tell, _ = told_by(costs)
    near = near_costs(tell, frames, change_nats=CHANGE_NATS)
    edges = np.searchsorted(frames, [3, 39, 301, 349, 600])
    assert np.array_equal(near[edges], costs[frames[edges]])
    regular = np.flatnonzero(frames % EVERY == 0)
    assert np.array_equal(near[regular], costs[frames[regular]])


def test_what_is_likelier_otherwise_is_not_asked_for() -> None:
    """Where a frame costs far less as something else, no pitch is near."""
    costs = costs_of_notes(6)
    frames = np.arange(len(costs))
    alone, beside = told_by(costs), told_by(costs)
    near_costs(alone[0], frames, change_nats=CHANGE_NATS)
    otherwise = np.full_like(costs, costs.min() - CHANGES * CHANGE_NATS - 1.0)
    near_costs(beside[0], frames, otherwise, change_nats=CHANGE_NATS)
    regular = sum(frames % EVERY == 0) + (len(frames) % EVERY != 1)
    assert sum(beside[1]) == PITCHES * regular < sum(alone[1])


def test_all_costs_are_told_of_any_number_of_frames() -> None:
    """Of none too."""
    costs = costs_of_notes(7)
    for count in (0, 1, 500):
        tell, _ = told_by(costs)
        assert np.array_equal(all_costs(tell, np.arange(count)), costs[:count])
