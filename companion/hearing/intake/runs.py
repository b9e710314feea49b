"""Cuts a row of values where they change. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]


def runs_of(values: NDArray[np.generic]) -> Iterator[tuple[int, int]]:
    """Yield each run of equal values, from its first rank up to but not with the next run's; none of an empty row."""
    edges = [0, *(np.flatnonzero(values[1:] != values[:-1]) + 1).tolist(), len(values)]
    return pairwise(edges) if len(values) else iter(())
