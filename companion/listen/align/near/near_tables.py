"""A tune's tables once more as plain lists: for so few places at a time they are read faster than arrays."""

from __future__ import annotations

from itertools import islice

import numpy as np

from companion.listen.align.cost import costs
from companion.listen.align.cost.arrays import Floats, Ints
from companion.listen.align.cost.tables import Tables

Way = tuple[int, float, float, int]
"""A place that can be come to, what leaving out what lies between costs, the asked seconds to it, and PARTED where that
leaves out the melody note of the gracenote that it comes from, ONTO where it leads there, else 0."""

PARTED, ONTO = 1, 2

RunOn = tuple[int, float, float]
"""A place that a held note can run on to, what that costs, and the asked seconds to it."""


class NearTables:
    """The tables (see `Tables`) by note and place, `[note][place]`, or by place; no way dearer than BEAM."""

    def __init__(self, tables: Tables) -> None:
        self.note: list[int] = tables.note.tolist()
        self.is_melody: list[bool] = tables.is_melody.tolist()
        self.mismatch: list[list[float]] = tables.mismatch.tolist()
        self.long_grace: list[list[float]] = tables.long_grace.tolist()
        self.extra: list[list[float]] = tables.extra.tolist()
        self.log_length: list[float] = tables.log_length.tolist()
        self.shortened_most: list[float] = tables.shortened_most.tolist()
        self.headed: list[bool] = tables.headed.tolist()
        self.length_s: list[float] = tables.length_s.tolist()
        self.ended_before: list[float] = tables.ended_before.tolist()
        self.slowed = tables.slowed
        self.end: list[float] = tables.end.tolist()
        self._ways: dict[int, list[Way]] = {}
        self._rows = list(zip(*(row.tolist() for row in _rows(tables)), strict=True))
        self.run_on = _runs(tables)

    def ways(self, place: int) -> list[Way]:
        """Return the ways onward from a place, the cheapest first."""
        ways = self._ways.get(place)
        if ways is None:
            count, reached, cost, asked_s, from_gracenote = self._rows[place]
            every = zip(reached, cost, asked_s, from_gracenote, strict=True)
            ways = self._ways[place] = list(islice(every, count))
        return ways


def _rows(tables: Tables) -> tuple[Ints, Ints, Floats, Floats, Ints]:
    """Return for each place how many ways lead on, and their parts, arrays (places, ways), the cheapest first."""
    places, skipped = np.arange(tables.size)[:, None], np.arange(costs.SKIP_TOKENS)[None, :]
    reached = np.minimum(places + 1 + skipped, tables.size - 1)
    cost = np.where(reached == places + 1 + skipped, tables.skip[skipped, reached], np.inf)
    from_gracenote = PARTED * tables.parted[skipped, reached] + ONTO * tables.onto[skipped, reached]
    asked_s = tables.start_s[reached] - tables.start_s[places]
    order = np.argsort(cost, axis=1, kind="stable")
    by_cost = (np.take_along_axis(part, order, axis=1) for part in (reached, cost, asked_s, from_gracenote))
    return np.count_nonzero(cost <= costs.BEAM, axis=1), *by_cost


def _runs(tables: Tables) -> dict[int, RunOn]:
    """Return for each place where a held note can run on to from it, if it can."""
    (reached,) = (tables.run_on <= costs.BEAM).nonzero()
    held = tables.same[reached]
    asked_s = tables.start_s[reached] - tables.start_s[held]
    runs = zip(reached.tolist(), tables.run_on[reached].tolist(), asked_s.tolist(), strict=True)
    return dict(zip(held.tolist(), runs, strict=True))
