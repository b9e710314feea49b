"""Ways that are found side by side, held against the same ways found frame by frame."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.hearing.echoes.room_costs import MOST_BEGUN_FRAMES, RoomCosts
from companion.hearing.echoes.room_path import RoomPathFinder
from companion.hearing.path import NO_PITCH, HeardStretch, PathFinder
from companion.hearing.spectra import Floats
from companion.hearing.walks.side_by_side import BLOCK_FRAMES
from companion.hearing.walks.walk import change_costs
from tests.companion.hearing.learnt_chanter import PITCHES
from tests.companion.hearing.walks.plain_ways import plain_way, plain_way_in_room

pytestmark = pytest.mark.same_everywhere

STATES = len(PITCHES) + 1
COUNTS = (1, 5, BLOCK_FRAMES, BLOCK_FRAMES + 1, 1500)


def sounding(random: np.random.Generator, frames: int) -> NDArray[np.intp]:
    """Which pitch sounds in each frame: gracenotes and notes of up to a second and a half."""
    lengths = np.where(
        random.uniform(size=frames) < 0.5, random.integers(6, 20, frames), random.integers(40, 600, frames)
    )
    return np.repeat(random.integers(0, STATES, frames), lengths)[:frames]


def likely(random: np.random.Generator, which: NDArray[np.intp]) -> Floats:
    """What frames cost in which these sound, while a neighbour is as likely, and for long."""
    costs = random.uniform(22.0, 40.0, (len(which), STATES))
    ranks = np.arange(len(which))
    costs[ranks, which] = random.uniform(15.0, 22.0, len(which))
    costs[ranks, (which + 1) % STATES] = random.uniform(15.0, 22.2, len(which))
    return costs.astype(np.float32)


def in_room(random: np.random.Generator, frames: int) -> RoomCosts:
    """The costs of frames in a room, where notes may begin for 60 ms from a change on, and in their midst now and
    then."""
    which = sounding(random, frames)
    lasting, begun = likely(random, which), likely(random, which)
    changes = np.flatnonzero((np.diff(which, prepend=-1) != 0) | (random.uniform(size=frames) < 0.003))
    since = np.arange(frames) - changes[np.searchsorted(changes, np.arange(frames), side="right") - 1]
    begun[since >= MOST_BEGUN_FRAMES] = np.inf
    changing = np.where(since < 4, random.uniform(-4.0, 4.0, frames), 12.0).astype(np.float32)
    going_on = np.where(random.uniform(size=frames) < 0.5, 20.0, np.inf).astype(np.float32)
    return RoomCosts(begun, lasting, changing, going_on)


def states(stretches: list[HeardStretch]) -> list[int]:
    """A way frame by frame."""
    return [
        STATES - 1 if each.pitch == NO_PITCH else each.pitch for each in stretches for _ in range(each.first, each.stop)
    ]


@pytest.mark.parametrize("frames", COUNTS)
@pytest.mark.parametrize("seed", range(3))
def test_the_way_is_that_found_frame_by_frame(seed: int, frames: int) -> None:
    """Though all blocks are gone through at once."""
    random = np.random.default_rng(seed)
    costs = likely(random, sounding(random, frames))
    changing = change_costs(PITCHES)
    finder = PathFinder(*changing)
    finder.take_in(costs)
    plain = plain_way(costs, *changing)
    assert states(finder.whole_way()) == plain
    assert frames < 1000 or len(set(plain)) > 5


@pytest.mark.parametrize("frames", COUNTS)
@pytest.mark.parametrize("seed", range(3))
def test_the_way_in_a_room_is_that_found_frame_by_frame(seed: int, frames: int) -> None:
    """Though what lasts where no note begins is gone through at once."""
    random = np.random.default_rng(seed)
    costs = in_room(random, frames)
    changing = change_costs(PITCHES, in_room=True)
    finder = RoomPathFinder(*changing)
    finder.take_in(costs)
    plain = plain_way_in_room(costs, *changing)
    assert states(finder.whole_way()) == plain
    assert frames < 1000 or len(set(plain)) > 5


def test_where_no_note_begins_for_long_a_way_is_still_that_found_frame_by_frame() -> None:
    """What one pitch costs more than another from the first block on is not forgotten in any after it."""
    random = np.random.default_rng(5)
    costs = in_room(random, 800)
    which = np.zeros(800, np.intp)
    lasting = likely(random, which)
    lasting[:100, 1] += 3.0
    lasting[100:, 1] -= 0.4
    slowly = RoomCosts(costs.begun, lasting, np.full(800, 40.0, np.float32), np.full(800, np.inf, np.float32))
    changing = change_costs(PITCHES, in_room=True)
    finder = RoomPathFinder(*changing)
    finder.take_in(slowly)
    assert states(finder.whole_way()) == plain_way_in_room(slowly, *changing)


def test_nothing_is_taken_in_of_no_frames() -> None:
    """Whether or not in a room."""
    nothing = np.zeros((0, STATES), np.float32)
    dry, room = PathFinder(*change_costs(PITCHES)), RoomPathFinder(*change_costs(PITCHES, in_room=True))
    dry.take_in(nothing)
    room.take_in(RoomCosts(nothing, nothing, nothing[:, 0], nothing[:, 0]))
    assert dry.whole_way() == room.whole_way() == []
