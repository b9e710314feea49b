"""The search for the likeliest way in a room, held against trying every one."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest

from companion.hearing.echoes.room_costs import MOST_BEGUN_FRAMES, RoomCosts
from companion.hearing.echoes.room_path import BEGUN_COST, RoomPathFinder
from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.spectra import Floats

pytestmark = pytest.mark.same_everywhere

LEAVING = np.array([1.0, 2.0, 0.5], np.float32)
ENTERING = np.array([0.5, 1.0, 1.5], np.float32)

State = tuple[int, bool]
"""A pitch, and whether it has only begun."""


def costs(begun: Floats, lasting: Floats, changing: Floats | None = None) -> RoomCosts:
    """Costs of frames at which notes change as easily as anywhere, if nothing else is said."""
    nothing = np.zeros(len(begun), np.float32)
    return RoomCosts(begun, lasting, nothing if changing is None else changing, nothing + np.float32(np.inf))


def total(told: RoomCosts, way: tuple[State, ...]) -> float:
    """What a way costs; infinite where a pitch lasts that has not begun, but for the first frame."""
    cost = 0.0
    for at, (state, begun) in enumerate(way):
        cost += float(told.begun[at, state] if begun else told.lasting[at, state])
    for at, ((before, was_begun), (state, begun)) in enumerate(pairwise(way), 1):
        if begun and before == state and was_begun:
            cost += float(BEGUN_COST)
        elif begun:
            cost += float(LEAVING[before] + ENTERING[state] + told.changing[at])
        elif before != state:
            return np.inf
    return cost


def states(stretches: list[HeardStretch]) -> list[int]:
    """A way frame by frame."""
    return [2 if each.pitch == NO_PITCH else each.pitch for each in stretches for _ in range(each.first, each.stop)]


def found(told: RoomCosts) -> list[int]:
    """The way that is found through all frames at once."""
    finder = RoomPathFinder(LEAVING, ENTERING)
    return states([*finder.go_on(told), *finder.finish()])


@pytest.mark.parametrize("seed", range(6))
def test_no_way_is_cheaper(seed: int) -> None:
    """Of all ways through five frames of three states, of which each begins or lasts: the sound goes on from before."""
    random = np.random.default_rng(seed)
    told = costs(
        random.uniform(0.0, 6.0, (5, 3)).astype(np.float32),
        random.uniform(0.0, 6.0, (5, 3)).astype(np.float32),
        random.uniform(-0.4, 2.0, 5).astype(np.float32),
    )
    both = list(product(range(3), (False, True)))

    def whole(way: tuple[State, ...]) -> float:
        """What a way costs; what begins with the first frame was left before, at the least cost of leaving."""
        first = float(LEAVING.min() + ENTERING[way[0][0]] + told.changing[0]) if way[0][1] else 0.0
        return first + total(told, way)

    best = min(whole(way) for way in product(both, repeat=5))
    mine = found(told)
    reached = min(whole(tuple(zip(mine, ages, strict=True))) for ages in product((False, True), repeat=5))
    assert reached == pytest.approx(best, abs=1e-4)


def test_a_pitch_that_has_begun_lasts_after_60_ms() -> None:
    """However like a beginning it sounds for ever, it does not begin for ever, nor again and again at a price."""
    frames = 3 * MOST_BEGUN_FRAMES
    begun, lasting = np.full((frames, 3), 9.0, np.float32), np.full((frames, 3), 9.0, np.float32)
    begun[:, 0] = 0.0  # sounds like the beginning of the first pitch all of the time,
    lasting[:, 1] = 1.0  # and nearly as like the second that lasts
    assert found(costs(begun, lasting, np.full(frames, 40.0, np.float32))) == [1] * frames


def test_what_goes_on_as_it_was_is_still_that_note() -> None:
    """A note that sways is not left for another that it is likelier to be for a while; its costs stay as they are."""
    begun, lasting = np.full((60, 3), 9.0, np.float32), np.full((60, 3), 9.0, np.float32)
    lasting[:, 0] = 0.0
    lasting[20:50, 0], lasting[20:50, 1], begun[20:50, 1] = 4.0, 0.0, 0.0
    changing, going_on = np.full(60, 6.0, np.float32), np.full(60, np.inf, np.float32)
    assert set(found(RoomCosts(begun, lasting, changing, going_on))) == {0, 1}
    going_on[20:50] = 0.2
    assert found(RoomCosts(begun, lasting, changing, going_on)) == [0] * 60
    finder = RoomPathFinder(LEAVING, ENTERING)
    (stretch,) = [*finder.go_on(RoomCosts(begun, lasting, changing, going_on)), *finder.finish()]
    assert stretch.costs[0] == pytest.approx(30 * 4.0)


def test_notes_change_where_the_sound_does() -> None:
    """Of places that are as like both notes, the one that costs least to change at."""
    begun, lasting = np.full((30, 3), 5.0, np.float32), np.full((30, 3), 5.0, np.float32)
    for each in (begun, lasting):
        each[:20, 0] = each[10:, 1] = 0.0
    changing = np.full(30, 3.0, np.float32)
    changing[14] = -2.0
    assert found(costs(begun, lasting, changing)) == [0] * 14 + [1] * 16


def test_a_long_way_in_blocks_is_the_same() -> None:
    """What is settled early is what would be found in the end, and costs are summed over blocks."""
    random = np.random.default_rng(3)
    which = np.repeat(random.integers(0, 3, 60), 40)
    begun, lasting = random.uniform(0.0, 1.0, (2, len(which), 3)).astype(np.float32)
    for each in (begun, lasting):
        each[np.arange(len(which)), which] -= 0.5
    changing = random.uniform(-1.0, 1.0, len(which)).astype(np.float32)
    at_once, in_parts = RoomPathFinder(LEAVING, ENTERING), RoomPathFinder(LEAVING, ENTERING)
    one = [*at_once.go_on(costs(begun, lasting, changing)), *at_once.finish()]
    other: list[HeardStretch] = []
    for first in range(0, len(which), 333):
        part = slice(first, first + 333)
        other += in_parts.go_on(costs(begun[part], lasting[part], changing[part]))
    other += in_parts.finish()
    assert states(one) == states(other)
    for mine, its in zip(one, other, strict=True):
        assert (mine.first, mine.stop) == (its.first, its.stop)
        assert mine.costs == pytest.approx(its.costs, abs=1e-3)
