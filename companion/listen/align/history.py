"""The notes that are not settled yet, and how they are settled once all readings that may be right agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from companion.listen.align import costs
from companion.listen.align.columns import Column
from companion.listen.align.steps import Reading, Step
from companion.listen.align.tables import Bools, Floats, Ints

FEW = 24
"""Up to this many states are followed back one by one, which is then faster than as an array."""


@dataclass(frozen=True, slots=True)
class History:
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


def settle_from(history: History, cost: Floats, best: int, margin: float) -> tuple[int, int] | None:
    """Return up to which column the notes can be settled, and the state there; None if none can be.

    They can be up to the latest note about which all readings agree that cost at most `margin` more than the best.
    After too long a doubt the best reading is taken for the oldest note.

    cost: (2, width), of the states of the last column. best: the cheapest of those states.
    """
    flat = cost.ravel()
    (states,) = (flat <= flat[best] + margin).nonzero()
    oldest = history.oldest[states]
    if np.count_nonzero(oldest != oldest[0]):  # faster than any() on so few
        return (1, int(history.oldest[best])) if history.last >= costs.LONGEST_DOUBT else None
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


def settled_to(history: History, depth: int, state: int) -> tuple[History, list[Step]]:
    """Settle all columns up to `depth`, that one in `state`; return what is left and the steps, in order.

    What the last of them may yet run on to stays open: a held note is not over before another has begun.
    """
    steps: list[Step] = []
    here = state
    for each in range(depth, 0, -1):
        before = int(history.columns[each].origin[here])
        steps.append(_step(history, each, here, before))
        here = before
    left = history_from(history.columns[depth], state)
    for column in history.columns[depth + 1 :]:
        left = appended(left, column)
    return left, steps[::-1]


def agreeing(history: History, states: Ints, depth: int, state: int) -> Bools:
    """Return which of these states of the last column agree that the note at `depth` began in `state`."""
    for column in history.columns[:depth:-1]:
        states = column.origin[states]
    agrees: Bools = history.columns[depth].roots[states] == state
    return agrees


def _step(history: History, depth: int, state: int, before: int) -> Step:
    """Return the reading of the note at `depth`, in that state, which came from the state `before`."""
    column, earlier = history.columns[depth], history.columns[depth - 1]
    assert column.segment is not None
    begun, ran_on = before, tuple[int, ...]()
    if depth == 1:
        begun = history.settled
        passed = earlier.chain(before)
        ran_on = tuple(earlier.token(each) for each in passed[passed.index(begun) + 1 :])
    after = earlier.token(before)
    cost = float(column.cost.ravel()[state] - earlier.cost.ravel()[begun])
    if state >= column.window.width:
        return Step(column.segment, Reading.EXTRA, (), after, cost, ran_on)
    tokens = tuple(column.token(each) for each in column.chain(state))
    reading = Reading.RESUME if tokens[0] == after else Reading.MATCH
    return Step(column.segment, reading, tokens, after, cost, ran_on)
