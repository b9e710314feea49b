"""The front of the walk through the tune: what it costs to be at each place by now, and one step onward."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from companion.listen.align.cost.arrays import Floats, Ints
from companion.listen.align.cost.hearing import (
    SHORTEST_HELD_S,
    held_onto_share,
    may_go_on,
    note_again_cost,
    resume_cost,
)
from companion.listen.align.reading.search import Search
from companion.listen.align.wide.columns import Column
from companion.listen.align.wide.search_window import SearchWindow
from companion.listen.model.segments import Segment

MATCH, EXTRA = 0, 1
"""The two rows of costs and clocks: the last note was a place's own, or an extra one after it."""


class Front(NamedTuple):
    """The costs of all readings of what was heard so far, at the places of a window.

    cost, clock: (2, width), MATCH and EXTRA, ran_on_from: (width,), as in `Column`. segment: the last note heard, None
    before the first. own: for each state of the front its state in the last column; None where they are the same.
    """

    window: SearchWindow
    cost: Floats
    clock: Floats
    segment: Segment | None
    ran_on_from: Ints
    own: Ints | None = None

    def seen_through(self, window: SearchWindow) -> Front:
        """Return the front at the places of another window; those that were not in view cannot be reached.

        It must be the front of a column, not yet seen through another window.
        """
        cost = window.values_of(self.window, self.cost, np.inf)
        clock = window.values_of(self.window, self.clock)
        ran_on_from = window.places_ran_on(self.window, self.ran_on_from)
        return Front(window, cost, clock, self.segment, ran_on_from, window.states_of(self.window))

    def with_cost(self, cost: Floats) -> Front:
        """Return the front at other costs (2, width)."""
        return self._replace(cost=cost)

    def at_ratio(self, ratio: float | None) -> Front:
        """Return the front at another tempo."""
        return self if ratio == self.window.ratio else self._replace(window=self.window.with_ratio(ratio))

    def own_when_over(self) -> Floats:
        """Return what it costs (width,) that the last note was each place's own, now that it is over: it cannot stand
        for an equal note for which it ended too soon."""
        own: Floats = self.cost[MATCH]
        ran_on = self.ran_on_from >= 0
        if self.segment is None or self.segment.end_s is None or not np.count_nonzero(ran_on):
            return own
        return own + ran_on * self.window.ended_before(self.segment.end_s, self.clock[MATCH])

    def own_states(self, states: Ints) -> Ints:
        """Return states of the front as states of the last column."""
        return states if self.own is None else self.own[states]


class _Ways(NamedTuple):
    """The cheapest way to each place (width,): its cost, the state that it comes from, and the clock there."""

    cost: Floats
    origin: Ints
    clock: Floats


def front_of(column: Column) -> Front:
    """Return the front at a column."""
    return Front(column.window, column.cost, column.clock, column.segment, column.ran_on_from)


def advance(front: Front, segment: Segment, search: Search) -> Column:
    """Return the column of one more note: the cheapest way to hear it in each state."""
    window, width = front.window, front.window.width
    own = front.own_when_over()
    from_extra = front.cost[EXTRA] < own
    leave = _Ways(
        np.minimum(front.cost[EXTRA], own),
        window.ranks + width * from_extra,
        np.where(from_extra, front.clock[EXTRA], front.clock[MATCH]),
    )
    ways = _walked(front, leave, segment, search.unclocked_until_s)
    ways = _begun_anew(front, leave, ways, segment, lost=search.lost)
    ways = _note_again(front, leave, ways, segment)
    ways = _gone_on(front, leave, ways, segment)
    match, origin, clock, ran_on_from, roots = window.run_together(
        ways.cost + window.heard_as(segment), ways.origin, ways.clock, held=segment.lasted_s() > SHORTEST_HELD_S
    )
    cost, clocks = np.empty((2, width)), np.empty((2, width))
    cost[MATCH], cost[EXTRA] = match, leave.cost + window.heard_as_extra(segment, front.segment, ~from_extra)
    clocks[MATCH], clocks[EXTRA] = clock, leave.clock
    origins = front.own_states(np.concatenate([origin, leave.origin]))
    return Column(segment, origins, ran_on_from, roots, cost, clocks, window)


def _walked(front: Front, leave: _Ways, segment: Segment, unclocked_until_s: float) -> _Ways:
    """Return the ways onward from where the last note was, some tokens left out or none."""
    window = front.window
    held = 0.0 if front.segment is None else window.held(front.segment)
    in_place = leave.origin < window.width if held else None
    onto_share = held_onto_share(segment) if held else 0.0
    cost, skipped = window.walk(leave.cost, leave.clock, segment.onset_s, unclocked_until_s, held, in_place, onto_share)
    clock = np.empty(window.width)
    clock.fill(segment.onset_s)
    return _Ways(cost, leave.origin[np.maximum(window.one_before - skipped, 0)], clock)


def _begun_anew(front: Front, leave: _Ways, ways: _Ways, segment: Segment, *, lost: bool) -> _Ways:
    """Return the ways with those that begin anew, from the cheapest state so far, where that is cheaper."""
    window = front.window
    here = int(leave.cost.argmin())
    last_note = None if front.segment is None else front.segment.note
    begin = leave.cost[here] + (window.begin_anywhere() if lost else window.begin_anew(here, segment, last_note))
    anew = begin < ways.cost
    if not np.count_nonzero(anew):  # faster than any() on so few
        return ways
    return _Ways(np.where(anew, begin, ways.cost), np.where(anew, leave.origin[here], ways.origin), ways.clock)


def _note_again(front: Front, leave: _Ways, ways: _Ways, segment: Segment) -> _Ways:
    """Return the ways with those in which the note heard last begins again with its embellishment, where that is
    cheaper."""
    begins, again_from = front.window.begun_again, front.window.again_from
    cost = leave.cost[again_from] + note_again_cost(segment)
    anew = cost < ways.cost[begins]
    if not np.count_nonzero(anew):
        return ways
    begins, again_from = begins[anew], again_from[anew]
    costs, origins = ways.cost.copy(), ways.origin.copy()
    costs[begins], origins[begins] = cost[anew], leave.origin[again_from]
    return _Ways(costs, origins, ways.clock)


def _gone_on(front: Front, leave: _Ways, ways: _Ways, segment: Segment) -> _Ways:
    """Return the ways with those in which the same note goes on, where that is cheaper.

    After a stop any note may go on, otherwise only one that something else has interrupted.
    """
    window, between = front.window, front.segment
    if between is None or may_go_on(segment, between):
        on = leave
    else:
        interrupted = front.cost[EXTRA] + window.not_crossing[between.note]
        on = _Ways(interrupted, window.ranks + window.width, front.clock[EXTRA])
    cost = resume_cost(segment, between) + on.cost
    going_on = (cost < ways.cost) & window.sounds[segment.note]
    if not np.count_nonzero(going_on):
        return ways
    return _Ways(
        np.where(going_on, cost, ways.cost),
        np.where(going_on, on.origin, ways.origin),
        np.where(going_on, on.clock, ways.clock),
    )
