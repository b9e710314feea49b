"""Computes only those costs by which a way is found: of what is unlike by far, what lies between is near enough."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from companion.hearing.likeness import ALL, chunks
from companion.hearing.spectra import Floats

PairCosts = Callable[[NDArray[np.intp], NDArray[np.intp] | slice], Floats]
"""Tells what frames cost as pitches: as all, shape (frames, pitches), or each as a pitch of its own, shape (frames,
1)."""


class TellsCosts(Protocol):
    """A way to tell the costs of frames as pitches: `all_costs` or `near_costs`."""

    def __call__(self, costs: PairCosts, frames: NDArray[np.intp], otherwise: Floats | None = None) -> Floats:
        """See there."""
        ...


PAIRS = 864
"""How many pairs of a frame and a pitch are looked at at once: as many numbers as of 48 frames as all pitches."""

EVERY = 4
"""Every so manieth frame, of 10 ms, is held against all pitches: half of a window of 20 ms hears the same. Where
another pitch is the likeliest after them than before, all frames between are: there anything may be for 5 ms."""

CHANGES = 1.25
"""While one pitch goes on as the likeliest, one that costs by so many changes of note more is none of a way: by two it
would be as cheap to leave it and to come back. On trial none of a way cost more than one change more, and 72 takes were
heard the same, to the last byte but two in ten thousand, as with one and a half."""


def all_costs(costs: PairCosts, frames: NDArray[np.intp], otherwise: Floats | None = None) -> Floats:
    """The costs of frames as all pitches. otherwise: is not asked for."""
    return np.concatenate([costs(frames[part], ALL) for part in chunks(len(frames))] or [costs(frames, ALL)])


def near_costs(
    costs: PairCosts, frames: NDArray[np.intp], otherwise: Floats | None = None, *, change_nats: float
) -> Floats:
    """The costs of frames, in order, as `all_costs` tells them where a pitch is near the likeliest; the others as if
    they went straight from one frame that was looked at to the next.

    otherwise: what frames may cost instead, as each pitch. change_nats: what a change of note costs.
    """
    breaks = np.diff(frames, prepend=-2, append=frames[-1] + 2) > 1
    looked_at = np.flatnonzero((frames % EVERY == 0) | breaks[:-1] | breaks[1:])
    seen = all_costs(costs, frames[looked_at])
    least = seen if otherwise is None else np.minimum(seen, otherwise[looked_at])
    likeliest = least.argmin(axis=1)
    near = seen <= least.min(axis=1, keepdims=True) + np.float32(CHANGES * change_nats)
    ranks = np.arange(len(frames))
    before = np.searchsorted(looked_at, ranks, side="right") - 1
    after = np.minimum(before + 1, len(looked_at) - 1)
    share = (ranks - looked_at[before]) / np.maximum(looked_at[after] - looked_at[before], 1)
    out: Floats = seen[before] + share[:, np.newaxis].astype(np.float32) * (seen[after] - seen[before])
    between = np.ones(len(frames), np.bool_)
    between[looked_at] = False
    changing = np.flatnonzero(between & (likeliest[before] != likeliest[after]))
    out[changing] = all_costs(costs, frames[changing])
    between[changing] = False
    rows, pitches = np.nonzero((near[before] | near[after]) & between[:, np.newaxis])
    for first in range(0, len(rows), PAIRS):
        part = slice(first, first + PAIRS)
        out[rows[part], pitches[part]] = costs(frames[rows[part]], pitches[part])[:, 0]
    return out
