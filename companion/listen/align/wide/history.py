"""The notes that are not settled yet, and how they are settled once all readings that may be right agree."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from companion.listen.align.cost.arrays import Bools, Floats, Ints
from companion.listen.align.cost.hearing import is_gracenote_short
from companion.listen.align.reading.paths import Foothold, PathNode
from companion.listen.align.wide.columns import Column
from companion.listen.align.wide.search_window import SearchWindow
from companion.listen.model.segments import SETTLED_S, Segment

FEW = 24
"""Up to this many states are followed back one by one, which is then faster than as an array."""


class HeardInPlace(NamedTuple):
    """A note, and the token that it is read as. cost: of the reading from the last settled note up to this one."""

    segment: Segment
    token: int
    cost: float


class History(NamedTuple):
    """The columns from the last settled note on.

    columns: the last settled note, in state `settled`, from which every reading goes on, then those not settled.
    oldest: for each state of the last column the state in which the oldest note that is not settled was.
    """

    columns: tuple[Column, ...]
    settled: int
    oldest: Ints

    @property
    def last(self) -> int:
        """How many notes are not settled; the rank of the last column."""
        return len(self.columns) - 1

    @property
    def settled_cost(self) -> float:
        """What the settled notes cost."""
        return float(self.columns[0].cost.ravel()[self.settled])


def history_from(column: Column, settled: int) -> History:
    """Return a history in which that column is settled in that state."""
    return History((column,), settled, column.roots)


def appended(history: History, column: Column) -> History:
    """Return the history with one more note."""
    oldest = history.oldest[column.origin] if history.last else column.roots
    return History((*history.columns, column), history.settled, oldest)


def settle_from(history: History, cost: Floats, best: int, margin: float, longest_doubt: int) -> tuple[int, int] | None:
    """Return up to which column the notes can be settled, and the state there; None if none can be.

    They can be up to the latest note about which all readings agree that cost at most `margin` more than the best.
    After a doubt of `longest_doubt` notes the best reading is taken for the oldest one.

    cost: (2, width), of the states of the last column. best: the cheapest of those states.
    """
    flat = cost.ravel()
    (states,) = (flat <= flat[best] + margin).nonzero()
    oldest = history.oldest[states]
    if np.count_nonzero(oldest != oldest[0]):  # faster than any() on so few
        return (1, int(history.oldest[best])) if history.last >= longest_doubt else None
    alive = set(states.tolist())
    for depth in range(history.last, 0, -1):
        column = history.columns[depth]
        root = column.root_of(alive)
        if root is not None:
            return depth, root
        if len(alive) > FEW:
            alive = set(np.unique(column.origin[np.array(list(alive))]).tolist())
        else:
            alive = {int(column.origin[state]) for state in alive}
    raise AssertionError("readings that agree on the oldest note part nowhere")


def settled_to(history: History, depth: int, state: int) -> History:
    """Settle all columns up to `depth`, that one in `state`; return what is left.

    What the last of them may yet run on to stays open: a held note is not over before another has begun.
    """
    left = history_from(history.columns[depth], state)
    for column in history.columns[depth + 1 :]:
        left = appended(left, column)
    return left


def agreeing(history: History, states: Ints, depth: int, state: int) -> Bools:
    """Return which of these states of the last column agree that the note at `depth` began in `state`."""
    for column in history.columns[:depth:-1]:
        states = column.origin[states]
    agrees: Bools = history.columns[depth].roots[states] == state
    return agrees


def path_to(history: History, depth: int, state: int) -> PathNode:
    """Return the reading that leads to a state at `depth`, from the last settled note on."""
    states = [state]
    for column in history.columns[depth:0:-1]:
        states.append(int(column.origin[states[-1]]))
    node = None
    for column, each in zip(history.columns, reversed(states), strict=False):
        node = column.node(each, node)
    assert node is not None
    return node


def heard_in_place(history: History, state: int) -> list[HeardInPlace]:
    """Return the notes of the reading that leads to a state of the last column that were each the first of a token's
    own, or a wrong one after its last gracenote, in order; the cheapest way to look at many readings."""
    heard: list[HeardInPlace] = []
    for column, before in zip(history.columns[:0:-1], history.columns[-2::-1], strict=True):
        origin = int(column.origin[state])
        if state < column.window.width:
            place = int(column.window.places[column.roots[state]])
            if place != before.window.places[origin % before.window.width] and column.segment is not None:
                heard.append(_in_place(history, column, state, place))
        elif _follows_its_gracenote(column, before, origin):
            heard.append(_in_place(history, column, state, int(before.window.places[origin])))
        state = origin
    return heard[::-1]


def _in_place(history: History, column: Column, state: int, place: int) -> HeardInPlace:
    assert column.segment is not None
    return HeardInPlace(column.segment, place - 1, float(column.cost.ravel()[state]) - history.settled_cost)


def _follows_its_gracenote(column: Column, before: Column, origin: int) -> bool:
    """Return whether an extra note is as long as a melody note, and of that only the last gracenote was heard before
    it, in state `origin`: then it was played for that."""
    if column.segment is None or before.segment is None or column.segment.lasted_s() < SETTLED_S:
        return False
    window = before.window
    alone = origin < window.width and is_gracenote_short(before.segment) and window.headed[origin]
    return bool(alone and window.sounds[before.segment.note, origin])


def stand_on(foothold: Foothold, window: SearchWindow) -> tuple[Column, int]:
    """Return the column of a settled note in a window, with no other reading, and the state there in which it began."""
    width = window.width
    cost, clock = np.full(2 * width, np.inf), np.full(2 * width, foothold.settled.clock)
    ran_on_from = np.full(width, -1)
    states: list[int] = []
    for node in foothold.kin:
        rank = int(window.places.searchsorted(node.place))
        if rank == width or window.places[rank] != node.place:
            break
        state = rank + width * node.is_extra
        cost[state], clock[state] = node.cost, node.clock
        if states:
            ran_on_from[state] = states[-1]
        states.append(state)
    roots = window.states.copy()
    roots[states] = states[0]
    nowhere = np.full(2 * width, -1)
    segment = foothold.settled.segment
    return Column(segment, nowhere, ran_on_from, roots, cost.reshape(2, -1), clock.reshape(2, -1), window), states[0]


def foothold_of(history: History) -> Foothold:
    """Return the last settled note, with what it may yet run on to."""
    column = history.columns[0]
    kin = (column.roots == history.settled) & np.isfinite(column.cost.ravel())
    nodes: dict[int, PathNode] = {}
    for state in kin.nonzero()[0].tolist():
        before = None if state == history.settled else nodes[int(column.ran_on_from[state])]
        nodes[state] = column.node_after(state, None, before)
    return Foothold(tuple(nodes.values()))
