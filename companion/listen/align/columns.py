"""What the alignment keeps of each heard note until it is settled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from companion.listen.align.search_window import View
from companion.listen.align.tables import Floats, Ints
from companion.listen.model.segments import Segment


@dataclass(slots=True)
class Column:
    """What is kept of one heard note until it is settled: for each state where it came from, and what ran on.

    States are MATCH at each place in view, then EXTRA at each. roots: the state in which a held note began that ran
    on to this one. `rebase` leads from the states of a view laid since to this column's own.
    """

    segment: Segment | None
    origin: Ints
    ran_on_from: Ints
    roots: Ints
    cost: Floats
    clock: Floats
    view: View
    rebase: Ints | None = None

    def chain(self, state: int) -> list[int]:
        """The states that a held note passed through to this one, the first first."""
        passed = [state]
        while state < self.view.width and (state := int(self.ran_on_from[state])) >= 0:
            passed.append(state)
        return passed[::-1]

    def root_of(self, states: set[int]) -> int | None:
        """The one state that all of these are, or that the held note ran on from to each; None if they disagree."""
        roots = self.roots
        first = -1
        for state in states:
            root = int(roots[state])
            if first not in (-1, root):
                return None
            first = root
        return first

    def own(self, states: Ints) -> Ints:
        """States of the view in force, or of the next column, as this column's own."""
        return states if self.rebase is None else self.rebase[states]

    def token(self, state: int) -> int:
        """The token at a state's place, -1 before the first."""
        return int(self.view.places[state % self.view.width]) - 1

    def see_from(self, places: Ints) -> None:
        """A view of these places is laid over this column."""
        width = self.view.width
        own = np.minimum(np.searchsorted(self.view.places, places), width - 1)
        self.rebase = np.concatenate([own, own + width])
