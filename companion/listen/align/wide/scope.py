"""The policy of the wide search: which places of the tune the next note is looked for at when something is amiss."""

from __future__ import annotations

import enum

import numpy as np

from companion.listen.align.cost.arrays import Ints
from companion.listen.align.cost.tables import Tables

BACK, AHEAD, FAR_RUN, FAR_RUNS = 176, 56, 14, 6
"""The wide window: places kept behind, as many as a part of eight bars has with a crunluath in each, and before the
present one; at each far beginning, and how many of those."""

DRIFT = 20
"""A window is laid anew when the present place has moved this far in it."""


class Scope(enum.Enum):
    """Which places the next note is looked for at. WIDE: wherever a learner is likely to begin again. EVERYWHERE: the
    whole tune."""

    WIDE = "wide"
    EVERYWHERE = "everywhere"


def places_in(tables: Tables, scope: Scope, centre: int) -> Ints:
    """Return the places to search about the present one, `centre`, in order."""
    size = tables.size
    if scope is Scope.EVERYWHERE or size <= BACK + AHEAD:
        return np.arange(size)
    runs = [np.arange(max(0, centre - BACK), min(size, centre + AHEAD))]
    nearest = sorted(tables.far_starts, key=lambda start: abs(start - centre))[:FAR_RUNS]
    runs += [np.arange(start, min(size, start + FAR_RUN)) for start in {1, *nearest}]
    return np.unique(np.concatenate(runs))


def drifted(centre: int, place: int) -> bool:
    """Return whether the present place has moved so far in a window that one is to be laid anew about it."""
    return abs(place - centre) > DRIFT
