"""The likeliest way through a sound: which pitch sounds from when to when (Viterbi's algorithm), block by block."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from companion.hearing.intake.runs import runs_of
from companion.hearing.spectra import Floats
from companion.hearing.walks.side_by_side import Standings, in_blocks, side_by_side

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


class StretchJoiner:
    """Makes stretches of a way that is settled piece by piece. silence: the rank of the state that is no pitch. first:
    the rank of the first frame."""

    def __init__(self, silence: int, first: int = 0) -> None:
        self._silence = silence
        self._done = first
        self.open: HeardStretch | None = None
        self.likely: list[Likely] = []

    def join(self, states: NDArray[np.int16], rows: Floats) -> Iterator[HeardStretch]:
        """Go on with the states of the next frames and what these cost, shape (frames, states); yield what is over."""
        edges = [0, *(np.flatnonzero(np.diff(states)) + 1).tolist(), len(states)]
        for begin, stop in pairwise(edges):
            yield from self._go_on(int(states[begin]), rows[begin:stop], self._done + begin)
        self._done += len(states)

    def finish(self) -> Iterator[HeardStretch]:
        """Yield what is open."""
        if self.open is not None:
            yield self.open
            self.open = None

    def _go_on(self, state: int, rows: Floats, first: int) -> Iterator[HeardStretch]:
        if state != self._silence:
            self.likely += _likely(rows, state, first)
        pitch = NO_PITCH if state == self._silence else state
        costs = rows.sum(axis=0, dtype=np.float64)
        stop = first + len(rows)
        if self.open is not None and self.open.pitch == pitch:
            self.open = replace(self.open, stop=stop, costs=tuple((costs + self.open.costs).tolist()))
            return
        yield from self.finish()
        self.open = HeardStretch(pitch, first, stop, tuple(costs.tolist()))


class SettlingFinder(ABC):
    """Finds a way that is settled piece by piece, by whatever costs it is given. states: how many there are, silence
    last. first: the rank of the first frame."""

    def __init__(self, states: int, first: int = 0) -> None:
        self._rows = np.zeros((0, states), np.float32)  # the costs of frames that are not settled
        self._joiner = StretchJoiner(states - 1, first)

    @property
    def likely(self) -> list[Likely]:
        """Pitches that may have sounded within the stretches that are settled; whoever has seen them may clear them."""
        return self._joiner.likely

    def finish(self) -> Iterator[HeardStretch]:
        """Yield the rest."""
        yield from self._settle(len(self._rows))
        yield from self._joiner.finish()

    def whole_way(self) -> list[HeardStretch]:
        """The way through all frames that were taken in, before any was settled, without what they cost."""
        states = self._states()
        pitches = np.where(states == self._rows.shape[1] - 1, NO_PITCH, states)
        return [HeardStretch(int(pitches[first]), first, stop) for first, stop in runs_of(pitches)]

    def _settled(self) -> int:
        """How many of the frames that are not settled are so by now."""
        return len(self._rows) - SETTLED_FRAMES

    def _settle(self, count: int) -> Iterator[HeardStretch]:
        """Yield what ends along the best way among the first `count` frames that are not settled."""
        if count <= 0:
            return
        yield from self._joiner.join(self._states()[:count], self._rows[:count])
        self._rows = self._rows[count:].copy()
        self._forget(count)

    @abstractmethod
    def _states(self) -> NDArray[np.int16]:
        """The state of each frame that is not settled, back along the best way."""

    @abstractmethod
    def _forget(self, count: int) -> None:
        """Drop what is kept of so many frames besides their costs."""


class PathFinder(SettlingFinder):
    """Finds the cheapest way through costs that are given block by block.

    leaving: what it costs to leave each pitch, and last to leave silence; entering: likewise to begin. first: the
    rank of the first frame. Memory is that of a block and of what is not settled.
    """

    def __init__(self, leaving: Floats, entering: Floats, first: int = 0) -> None:
        super().__init__(len(leaving), first)
        self._leaving, self._entering = leaving, entering
        self._score = np.zeros(len(leaving))
        self._entered = np.zeros((0, len(leaving)), np.bool_)  # which states were entered, not kept,
        self._best = np.zeros(0, np.int16)  # and out of which

    def go_on(self, costs: Floats) -> Iterator[HeardStretch]:
        """Take in the next frames, shape (frames, pitches and silence); yield what is settled and over."""
        self.take_in(costs)
        yield from self._settle(self._settled())

    def take_in(self, costs: Floats) -> None:
        """Take in the next frames, and settle none."""
        if not len(costs):
            return
        changing, rows = (self._leaving + self._entering).astype(np.float64), in_blocks(costs)

        def through(begins: Standings, blocks: NDArray[np.intp]) -> Standings:
            scores = np.empty((len(rows) + 1, *begins.shape))  # before each frame, with the cost of leaving
            scores[0] = begins
            for row, score, after in zip(rows[:, :, blocks], scores[:-1], scores[1:], strict=True):
                np.add(changing[:, np.newaxis], score.min(axis=0), out=after)
                np.minimum(after, score, out=after)
                after += row
            return scores

        begin = (self._score + self._leaving)[:, np.newaxis]
        scores, end = side_by_side(begin, len(costs), through, lambda ends: ends - ends.min(axis=0))
        best = scores.argmin(axis=1)
        entered = scores[np.arange(len(costs)), best][:, np.newaxis] + changing < scores
        self._score = end[:, 0] - self._leaving
        self._score -= self._score.min()
        self._rows = np.concatenate((self._rows, costs))
        self._entered = np.concatenate((self._entered, entered))
        self._best = np.concatenate((self._best, best.astype(np.int16)))

    def _states(self) -> NDArray[np.int16]:
        state, stop = int(self._score.argmin()), len(self._best)
        states = np.empty(stop, np.int16)
        while stop:
            first = last_true(self._entered[:stop, state])
            states[first:stop] = state
            state, stop = int(self._best[first]), first
        return states

    def _forget(self, count: int) -> None:
        self._entered, self._best = self._entered[count:].copy(), self._best[count:].copy()


def last_true(values: NDArray[np.bool_]) -> int:
    """The rank of the last of values that is true; 0 where none is."""
    back = int(values[::-1].argmax())
    return len(values) - 1 - back if values[len(values) - 1 - back] else 0


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
