"""The likeliest way through a sound: which pitch sounds from when to when (Viterbi's algorithm), block by block."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from companion.hearing.spectra import Floats

NO_PITCH = -1
SETTLED_FRAMES = 400
"""What lies this far back is settled: no way that is still open has changed its mind about what was a second ago."""


@dataclass(frozen=True, slots=True)
class HeardStretch:
    """One pitch, by its rank, or NO_PITCH, from frame `first` up to but not with `stop`.

    costs: what its frames would have cost as each pitch, and last as silence; empty where that was not asked for.
    """

    pitch: int
    first: int
    stop: int
    costs: tuple[float, ...] = ()


WINDOW_FRAMES = 8
LEAST_NATS = -10.0
"""20 ms: the shortest gracenote without its ends; and by how much less like another pitch they may be, and still be
that: where nothing else sounds, another pitch is less likely by three nats a frame and more."""


@dataclass(frozen=True, slots=True)
class Likely:
    """A pitch that 20 ms from frame `first` are nearly as like as the pitch that is told there, by `nats` more."""

    pitch: int
    first: int
    nats: float


class PathFinder:
    """Finds the cheapest way through costs that are given block by block.

    leaving: what it costs to leave each pitch, and last to leave silence; entering: likewise to begin. first: the
    rank of the first frame. Memory is that of a block and of what is not settled.
    """

    def __init__(self, leaving: Floats, entering: Floats, first: int = 0) -> None:
        self._leaving, self._entering = leaving, entering
        self._score = np.zeros(len(leaving), np.float32)
        self._rows = np.zeros((0, len(leaving)), np.float32)  # what is not settled: costs,
        self._entered = np.zeros((0, len(leaving)), np.bool_)  # which states were entered, not kept,
        self._best = np.zeros(0, np.int16)  # and out of which
        self._done = first
        self._open: HeardStretch | None = None
        self.likely: list[Likely] = []

    def go_on(self, costs: Floats) -> Iterator[HeardStretch]:
        """Take in the next frames, shape (frames, pitches and silence); yield what is settled and over."""
        score, leaving, entering = self._score, self._leaving, self._entering
        entered_rows = np.empty(costs.shape, np.bool_)
        best_rows = np.empty(len(costs), np.int16)
        for at, row in enumerate(costs):
            left = score + leaving
            best = left.argmin()
            moved = left[best] + entering
            entered = moved < score
            score = np.where(entered, moved, score) + row
            entered_rows[at] = entered
            best_rows[at] = best
        self._score = score - score.min()
        self._rows = np.concatenate((self._rows, costs))
        self._entered = np.concatenate((self._entered, entered_rows))
        self._best = np.concatenate((self._best, best_rows))
        yield from self._settle(self._settled())

    def _settled(self) -> int:
        """How many of the frames that are not settled are so by now."""
        return len(self._best) - SETTLED_FRAMES

    def finish(self) -> Iterator[HeardStretch]:
        """Yield the rest."""
        yield from self._settle(len(self._best))
        if self._open is not None:
            yield self._open
            self._open = None

    def _settle(self, count: int) -> Iterator[HeardStretch]:
        """Go back along the best way and yield what ends among the first `count` frames that are not settled."""
        if count <= 0:
            return
        state = int(self._score.argmin())
        states = np.empty(len(self._best), np.int16)
        for at in range(len(states) - 1, -1, -1):
            states[at] = state
            if self._entered[at, state]:
                state = int(self._best[at])
        edges = [0, *(np.flatnonzero(np.diff(states[:count])) + 1).tolist(), count]
        for begin, stop in pairwise(edges):
            yield from self._join(int(states[begin]), begin, stop)
        self._rows, self._entered, self._best = (
            self._rows[count:].copy(),
            self._entered[count:].copy(),
            self._best[count:].copy(),
        )
        self._done += count

    def _join(self, state: int, begin: int, stop: int) -> Iterator[HeardStretch]:
        """Go on with the open stretch, or yield it and open the next."""
        if state != len(self._leaving) - 1:
            self.likely += _likely(self._rows[begin:stop], state, self._done + begin)
        pitch = NO_PITCH if state == len(self._leaving) - 1 else state
        costs = self._rows[begin:stop].sum(axis=0, dtype=np.float64)
        if self._open is not None and self._open.pitch == pitch:
            costs = costs + self._open.costs
            self._open = HeardStretch(pitch, self._open.first, self._done + stop, tuple(costs.tolist()))
            return
        if self._open is not None:
            yield self._open
        self._open = HeardStretch(pitch, self._done + begin, self._done + stop, tuple(costs.tolist()))


def _likely(rows: Floats, state: int, first: int) -> Iterator[Likely]:
    """Other pitches that a stretch is nearly as like for 20 ms on end: of each such place the likeliest."""
    if len(rows) < 2 * WINDOW_FRAMES:
        return
    better = np.cumsum(rows[:, state : state + 1] - rows[:, :-1], axis=0, dtype=np.float64)
    sums = better[WINDOW_FRAMES:] - better[:-WINDOW_FRAMES]
    sums[:, state] = -np.inf
    best = sums.max(axis=1)
    near = np.flatnonzero(best > LEAST_NATS)
    for group in np.split(near, np.flatnonzero(np.diff(near) > 1) + 1):
        if len(group):
            at = int(group[best[group].argmax()])
            yield Likely(int(sums[at].argmax()), first + 1 + at, float(best[at]))
