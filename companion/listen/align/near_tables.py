"""A tune's tables once more as plain lists: for so few places at a time they are read faster than arrays."""

from __future__ import annotations

import numpy as np

from companion.listen.align import costs
from companion.listen.align.tables import Tables

Way = tuple[int, float, float, bool]
"""A place that can be come to, what leaving out what lies between costs, the asked seconds to it, and whether that
leaves out the melody note of the gracenote that it comes from."""

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
        self.slowed = tables.slowed
        self.end: list[float] = tables.end.tolist()
        self.ways = _ways(tables)
        self.run_on = _runs(tables)


def _ways(tables: Tables) -> list[list[Way]]:
    """Return for each place the ways onward from it, the cheapest first."""
    places, skipped = np.arange(tables.size)[:, None], np.arange(costs.SKIP_TOKENS)[None, :]
    reached = np.minimum(places + 1 + skipped, tables.size - 1)
    cost = np.where(reached == places + 1 + skipped, tables.skip[skipped, reached], np.inf)
    order = cost.argsort(axis=1, kind="stable")
    counts = np.count_nonzero(cost <= costs.BEAM, axis=1).tolist()
    asked_s = tables.start_s[reached] - tables.start_s[places]
    parted = tables.parted[skipped, reached]
    columns = (np.take_along_axis(values, order, axis=1).tolist() for values in (reached, cost, asked_s, parted))
    return [list(zip(*ways, strict=True))[:count] for *ways, count in zip(*columns, counts, strict=True)]


def _runs(tables: Tables) -> dict[int, RunOn]:
    """Return for each place where a held note can run on to from it, if it can."""
    (reached,) = (tables.run_on <= costs.BEAM).nonzero()
    held = tables.same[reached]
    asked_s = tables.start_s[reached] - tables.start_s[held]
    runs = zip(reached.tolist(), tables.run_on[reached].tolist(), asked_s.tolist(), strict=True)
    return dict(zip(held.tolist(), runs, strict=True))
