"""The likeliest way, found frame by frame: the referee of what goes through many frames side by side."""

from __future__ import annotations

import numpy as np

from companion.hearing.echoes.room_costs import MOST_BEGUN_FRAMES, RoomCosts
from companion.hearing.echoes.room_path import BEGUN_COST
from companion.hearing.spectra import Floats


def plain_way(costs: Floats, leaving: Floats, entering: Floats) -> list[int]:
    """The states of the likeliest way where no room echoes."""
    score = np.zeros(len(leaving))
    came = []
    for row in costs:
        from_best = score + leaving
        best = int(from_best.argmin())
        moved = from_best[best] + entering
        # What stays leaves nothing; what moves has left the best one.
        came.append([best if moved[each] < score[each] else each for each in range(len(score))])
        score = np.minimum(moved, score) + row
    state = int(score.argmin())
    way = []
    for back in reversed(came):
        way.append(state)
        state = back[state]
    return way[::-1]


def plain_way_in_room(costs: RoomCosts, leaving: Floats, entering: Floats) -> list[int]:
    """The states of the likeliest way in a room, whether they have only begun or last."""
    states = len(leaving)
    begun, lasting, till = np.full(states, np.inf), np.zeros(states), np.full(states, -1)
    old = costs.on_the_way
    came: list[list[tuple[tuple[int, bool], tuple[int, bool]]]] = []  # of each state that has begun, and that lasts
    for at in range(len(old)):
        least = np.minimum(begun, lasting)
        best = int((least + leaving).argmin())
        moved = least[best] + leaving[best] + entering + costs.changing[at]
        kept = np.where(till >= at, begun + BEGUN_COST, np.inf)
        row = []
        for each in range(states):
            is_begun = bool(begun[each] < lasting[each])
            out_of = (best, bool(begun[best] < lasting[best])) if moved[each] < kept[each] else (each, True)
            row.append((out_of, (each, is_begun)))
        came.append(row)
        till = np.where(moved < kept, at + MOST_BEGUN_FRAMES - 1, till)
        begun, lasting = np.minimum(moved, kept) + costs.begun[at], least + old[at]
    is_begun = bool(begun.min() < lasting.min())
    state = int((begun if is_begun else lasting).argmin())
    way = []
    for row in reversed(came):
        way.append(state)
        state, is_begun = row[state][0 if is_begun else 1]
    return way[::-1]
