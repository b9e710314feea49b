"""Looks for the likeliest way to part a run of F and high G in a room, and by how much no other is as likely. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from companion.hearing.notes.runs.near_runs import NearRun
from companion.hearing.notes.runs.run_model import Names, RunModel

LEAST_STEPS = 4
PUT_IN_STEPS = (4, 7, 11)
PUT_IN_EVERY = 2
MOVES = (-4, -2, -1, 1, 2, 4)
SURE_STEPS = 3
"""No part is shorter than 20 ms; how long those are that are put in on trial, and where; by how much changes are moved;
and how short what was not there would have been."""

MOST_ROUNDS = 30


def likeliest(model: RunModel, run: NearRun, heard: Names) -> Names:
    """The likeliest way to part a run, as far as small changes of the way that was heard lead to it."""
    names, best = heard, float(model.costs(run, heard[np.newaxis])[0])
    for _ in range(MOST_ROUNDS):
        others = np.array([*_changed(names, run.first == run.begins)])
        if not len(others):
            break
        costs = model.costs(run, others)
        rank = int(costs.argmin())
        if costs[rank] >= best - 1e-6:
            break
        names, best = others[rank], float(costs[rank])
    return names


def _changed(names: Names, begins: bool) -> Iterator[Names]:
    """Ways that differ little: a change moved, a part left out, one put in."""
    count = len(names)
    changes = [int(each) + 1 for each in np.flatnonzero(np.diff(names))]
    edges = [0, *changes, count]
    for rank, at in enumerate(changes):
        least_before = LEAST_STEPS if rank or begins else 1
        least_after = LEAST_STEPS if rank + 1 < len(changes) else 1
        for by in MOVES:
            to = at + by
            if to - edges[rank] >= least_before and edges[rank + 2] - to >= least_after:
                moved = names.copy()
                moved[min(at, to) : max(at, to)] = names[at - 1] if by > 0 else names[at]
                yield moved
    for one, other in pairwise(edges):
        if (one, other) != (0, count):
            left_out = names.copy()
            left_out[one:other] = 1 - names[one]
            yield left_out
        for first in range(one, other - LEAST_STEPS + 1, PUT_IN_EVERY):
            for steps in PUT_IN_STEPS:
                stop = first + steps
                touches = (first == one or first - one >= LEAST_STEPS) and (
                    stop == other or other - stop >= LEAST_STEPS
                )
                if stop <= other and touches:
                    put_in = names.copy()
                    put_in[first:stop] = 1 - names[one]
                    yield put_in


def sure_nats(model: RunModel, run: NearRun, names: Names) -> NDArray[np.float64]:
    """By how many nats it is less likely, at least, that the other of the two sounded for 15 ms about each step."""
    out = np.full(len(names), np.inf)
    begins = [
        first
        for first in range(len(names) - SURE_STEPS + 1)
        if (names[first : first + SURE_STEPS] == names[first]).all()
    ]
    if begins:
        ways = np.tile(names, (len(begins), 1))
        for way, first in zip(ways, begins, strict=True):
            way[first : first + SURE_STEPS] = 1 - names[first]
        over = model.costs(run, ways) - model.costs(run, names[np.newaxis])[0]
        for first, nats in zip(begins, over, strict=True):
            part = out[first : first + SURE_STEPS]
            np.minimum(part, nats, out=part)
    return np.where(np.isinf(out), 0.0, out)
