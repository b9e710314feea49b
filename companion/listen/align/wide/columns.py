"""What the alignment keeps of each heard note until it is settled."""

from __future__ import annotations

from typing import NamedTuple

from companion.listen.align.cost.arrays import Floats, Ints
from companion.listen.align.reading.paths import PathNode
from companion.listen.align.wide.search_window import SearchWindow
from companion.listen.model.segments import Segment


class Column(NamedTuple):
    """One heard note, and what it costs to be in each state after it; the first column of a take has no note.

    There are two states for each place of `window`: states 0 to width - 1, that the note was that place's own (MATCH),
    then width to 2 * width - 1, that it was an extra one after it (EXTRA).

    origin: for each state the state of the column before that it came from. ran_on_from: for each MATCH state the one
    from which a held note ran on to it, -1 for none; roots: for each state the one in which that held note began.
    cost, clock: (2, width), the cost so far, and when the last melody note was matched, in s.
    """

    segment: Segment | None
    origin: Ints
    ran_on_from: Ints
    roots: Ints
    cost: Floats
    clock: Floats
    window: SearchWindow

    def root_of(self, states: set[int]) -> int | None:
        """Return the one state in which the held note began that led to all of these; None if they disagree."""
        roots = self.roots
        first = -1
        for state in states:
            root = int(roots[state])
            if first not in (-1, root):
                return None
            first = root
        return first

    def node(self, state: int, origin: PathNode | None) -> PathNode:
        """Return a state as a node of the path that came from `origin`, with those that the note ran on from."""
        ran_on_from = None
        if state < self.window.width and (before := int(self.ran_on_from[state])) >= 0:
            ran_on_from = self.node(before, origin)
        return self.node_after(state, origin, ran_on_from)

    def node_after(self, state: int, origin: PathNode | None, ran_on_from: PathNode | None) -> PathNode:
        """Return a state as a node of the path that came from `origin`, running on from that node."""
        is_extra, rank = divmod(state, self.window.width)
        place, cost, clock = self.window.places[rank], self.cost[is_extra, rank], self.clock[is_extra, rank]
        return PathNode(self.segment, int(place), bool(is_extra), float(cost), float(clock), origin, ran_on_from)
