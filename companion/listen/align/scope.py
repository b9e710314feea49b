"""The policy of the search: which places of the tune the next note is looked for at."""

from __future__ import annotations

import enum

import numpy as np

from companion.listen.align.search_window import SearchWindow
from companion.listen.align.tables import Ints, Tables

BACK, AHEAD, FAR_RUN, FAR_RUNS = 96, 56, 14, 6
"""The wide window: places kept behind and before the present one, at each far beginning, and how many of those."""

NEAR_AHEAD = 36
"""The near window, for playing that goes as asked: the present place and so many ahead."""

DRIFT = 20
"""A window is laid anew when the present place has moved this far in it."""


class Scope(enum.Enum):
    """Which places the next note is looked for at. NEAR: a little ahead, for playing that goes as asked. WIDE: wherever
    a learner is likely to begin again. EVERYWHERE: the whole tune."""

    NEAR = "near"
    WIDE = "wide"
    EVERYWHERE = "everywhere"


def places_in(tables: Tables, scope: Scope, centre: int) -> Ints:
    """Return the places to search about the present one, `centre`, in order."""
    size = tables.size
    if scope is Scope.NEAR:
        return np.arange(centre, min(size, centre + NEAR_AHEAD))
    if scope is Scope.EVERYWHERE or size <= BACK + AHEAD:
        return np.arange(size)
    runs = [np.arange(max(0, centre - BACK), min(size, centre + AHEAD))]
    nearest = sorted(tables.far_starts, key=lambda start: abs(start - centre))[:FAR_RUNS]
    runs += [np.arange(start, min(size, start + FAR_RUN)) for start in {1, *nearest}]
    return np.unique(np.concatenate(runs))


def next_scope(
    tables: Tables, window: SearchWindow, place: int, *, wide: bool, lost: bool, settled: bool
) -> Scope | None:
    """Return in which scope a window is to be laid anew about the present place; None where the present one will do.

    wide: whether the present one is wider than near. lost: whether the ear has lost its place. settled: whether all
    that was heard is settled.
    """
    if lost:
        return Scope.EVERYWHERE if window.width < tables.size else None
    if settled:
        return Scope.NEAR if wide or place - window.centre > DRIFT else None
    drifted = wide and window.width < tables.size and abs(place - window.centre) > DRIFT
    return Scope.WIDE if drifted else None
