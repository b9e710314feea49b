"""Quantiles of many rows of values, by column. Pure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray


def column_quantiles(rows: NDArray[np.floating], shares: Sequence[float]) -> NDArray[np.float64]:
    """Return the quantiles of each column, shape (shares, columns), between two values in proportion, as `np.quantile`
    tells them along the first axis.

    rows: shape (values, columns), one value at least. That function parts each column anew at both values beside each
    quantile. Here it is parted at the second of them alone, for the first is the greatest before it, and of what is
    parted already only the half in which the next one lies.
    """
    columns = np.array(rows.T, order="C")
    last = columns.shape[1] - 1
    places = [share * last for share in shares]
    above = [min(int(place) + 1, last) for place in places]
    _part(columns, sorted(set(above)), 0)
    out = np.empty((len(shares), len(columns)))
    for rank, (place, at) in enumerate(zip(places, above, strict=True)):
        value = columns[:, at]
        first = max((each for each in above if each < at), default=0)
        before = columns[:, first:at].max(axis=1) if at > place else value
        out[rank] = _between(before, value, place - int(place))
    return out


def _part(columns: NDArray[np.floating], ranks: Sequence[int], first: int) -> None:
    """Put the values of these ranks in order, each with none greater before it and none less after it. first: the rank
    of the first value."""
    if ranks:
        middle = len(ranks) // 2
        at = ranks[middle] - first
        columns.partition(at, axis=1)
        _part(columns[:, :at], ranks[:middle], first)
        _part(columns[:, at + 1 :], ranks[middle + 1 :], first + at + 1)


def _between(before: NDArray[np.floating], after: NDArray[np.floating], part: float) -> NDArray[np.float64]:
    """The value so far on the way from one to the other, rounded alike from either side."""
    step = np.subtract(after, before)
    return np.asarray(before + step * np.float64(part) if part < 0.5 else after - step * np.float64(1.0 - part))
