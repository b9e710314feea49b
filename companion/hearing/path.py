"""The likeliest way through a sound: which pitch sounds from when to when (Viterbi's algorithm), block by block."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.hearing.spectra import Floats

NO_PITCH = -1
SETTLED_FRAMES = 400
"""What lies this far back is settled: no way that is still open has changed its mind about what was a second ago."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One pitch, by its rank, or NO_PITCH, from frame `first` up to but not with `stop`."""

    pitch: int
    first: int
    stop: int


class PathFinder:
    """Finds the cheapest way through costs that are given block by block.

    leaving: what it costs to leave each pitch, and last to leave silence; entering: likewise to begin. Memory is that
    of a block and what is not settled.
    """

    def __init__(self, leaving: Floats, entering: Floats) -> None:
        self._leaving, self._entering = leaving, entering
        self._score = np.zeros(len(leaving), np.float32)
        self._from: list[NDArray[np.bool_]] = []  # whether each state was entered at a frame rather than kept
        self._best: list[int] = []  # out of which state it was entered
        self._done = 0
        self._open: Stretch | None = None

    def go_on(self, costs: Floats) -> Iterator[Stretch]:
        """Take in the next frames, shape (frames, pitches and silence); yield what is settled and over."""
        score, leaving, entering = self._score, self._leaving, self._entering
        for row in costs:
            left = score + leaving
            best = int(left.argmin())
            moved = left[best] + entering
            entered = moved < score
            score = np.where(entered, moved, score) + row
            self._from.append(entered)
            self._best.append(best)
        self._score = score - score.min()
        yield from self._settle(len(self._best) - SETTLED_FRAMES)

    def finish(self) -> Iterator[Stretch]:
        """Yield the rest."""
        yield from self._settle(len(self._best))
        if self._open is not None:
            yield self._open
            self._open = None

    def _settle(self, count: int) -> Iterator[Stretch]:
        """Go back along the best way and yield what ends among the first `count` frames that are not settled."""
        if count <= 0:
            return
        state = int(self._score.argmin())
        states = np.empty(len(self._best), np.int16)
        for at in range(len(self._best) - 1, -1, -1):
            states[at] = state
            if self._from[at][state]:
                state = self._best[at]
        states = states[:count]
        del self._from[:count], self._best[:count]
        first, self._done = self._done, self._done + count
        silence = len(self._leaving) - 1
        edges = np.flatnonzero(np.diff(states)) + 1
        for begin, stop in zip([0, *edges.tolist()], [*edges.tolist(), count], strict=True):
            pitch = int(states[begin])
            pitch = NO_PITCH if pitch == silence else pitch
            if self._open is not None and self._open.pitch == pitch:
                self._open = Stretch(pitch, self._open.first, first + stop)
                continue
            if self._open is not None:
                yield self._open
            self._open = Stretch(pitch, first + begin, first + stop)
