"""The walk while something is amiss: all places of a window are open, and the learner may begin again at any."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from companion.listen.align.cost import costs
from companion.listen.align.cost.tables import Tables
from companion.listen.align.reading.paths import Foothold, steps_along
from companion.listen.align.reading.search import Leading, Search
from companion.listen.align.reading.steps import ReadStep
from companion.listen.align.wide.front import MATCH, advance, front_of
from companion.listen.align.wide.history import (
    HeardInPlace,
    agreeing,
    appended,
    foothold_of,
    heard_in_place,
    history_from,
    path_to,
    settle_from,
    settled_to,
    stand_on,
)
from companion.listen.align.wide.scope import Scope, drifted, places_in
from companion.listen.align.wide.search_window import SearchWindow
from companion.listen.model.segments import Segment


class WideWalk:
    """The readings that are open from the last settled note on, at the places of a window."""

    def __init__(self, tables: Tables, foothold: Foothold, scope: Scope, ratio: float | None) -> None:
        self._tables = tables
        centre = foothold.settled.place
        column, settled = stand_on(foothold, SearchWindow(tables, places_in(tables, scope, centre), centre, ratio))
        self._front = front_of(column)
        self._history = history_from(column, settled)

    @property
    def last(self) -> int:
        """How many notes are not settled."""
        return self._history.last

    @property
    def foothold(self) -> Foothold:
        """The last settled note."""
        return foothold_of(self._history)

    def leading(self) -> Leading:
        """Return the cheapest reading."""
        best = self._best()
        state, rank = divmod(best, self._front.window.width)
        doubt = float(self._front.cost.ravel()[best] - self._history.settled_cost)
        return Leading(int(self._front.window.places[rank]), state != MATCH, doubt)

    def read(self, segment: Segment, search: Search) -> None:
        """Read one more heard note."""
        column = advance(self._front.at_ratio(search.ratio), segment, search)
        self._front, self._history = front_of(column), appended(self._history, column)

    def settle(self, margin: float, longest_doubt: int = costs.LONGEST_DOUBT) -> list[ReadStep]:
        """Settle the notes on which all readings agree that may still be right, the oldest once so many are not; drop
        every reading that disagrees with them."""
        history, cost = self._history, self._front.cost
        found = settle_from(history, cost, self._best(), margin, longest_doubt)
        if found is None:
            return []
        agrees = agreeing(history, self._front.window.states, *found)
        self._front = self._front.with_cost(np.where(agrees.reshape(2, -1), cost, np.inf))
        self._history = settled_to(history, *found)
        return steps_along(path_to(history, *found), found[0])

    def follow(self, place: int, ratio: float | None, *, lost: bool) -> None:
        """Keep the present place in view, and the whole tune once the ear has lost its place."""
        window = self._front.window
        if window.width == self._tables.size:
            return
        if lost or drifted(window.centre, place):
            places = places_in(self._tables, Scope.EVERYWHERE if lost else Scope.WIDE, place)
            self._front = self._front.seen_through(SearchWindow(self._tables, places, place, ratio))

    def finish(self) -> list[ReadStep]:
        """Return the steps of the cheapest reading of what is not settled."""
        front = self._front
        if front.segment is None:
            return []
        cost = front.cost + front.window.ended_on(front.segment)
        best = int(front.own_states(np.array([cost.argmin()]))[0])
        return steps_along(path_to(self._history, self.last, best), self.last)

    def likely(self) -> Iterator[list[HeardInPlace]]:
        """Yield which notes were heard in which places, by the best reading and by those that cost little more and have
        the last note in a place of its own; the cheapest first, and none where the best is too cheap to have a wrong
        note in it."""
        if self.leading().doubt < costs.WRONG_NOTE:
            return
        best, own = self._best(), self._front.cost[MATCH]
        (others,) = (own <= self._front.cost.ravel()[best] + costs.LIKELY_MARGIN).nonzero()
        states = [best, *(each for each in others[np.argsort(own[others])].tolist() if each != best)]
        for state in self._front.own_states(np.array(states[: costs.LIKELY_READINGS])).tolist():
            yield heard_in_place(self._history, state)

    def _best(self) -> int:
        return int(self._front.cost.argmin())
