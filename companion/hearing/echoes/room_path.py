"""The likeliest way through a sound in a room, where a note that begins sounds otherwise than one that lasts."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.room_costs import MOST_BEGUN_FRAMES, RoomCosts
from companion.hearing.path import HeardStretch, SettlingFinder, last_true
from companion.hearing.spectra import Floats
from companion.hearing.walks.side_by_side import Standings, in_blocks, side_by_side

BEGUN_COST = np.float32(0.1)
"""The cost of each frame of a note that has only begun: it may last at any time."""

_NEVER = np.float32(np.inf)


class RoomPathFinder(SettlingFinder):
    """Finds the cheapest way through costs that are given block by block: each pitch begins, then lasts.

    leaving, entering, first: as for `PathFinder`. The way that begins a pitch is one for each pitch: of two that would
    begin it at different times the cheaper is followed, as long as it may.
    """

    def __init__(self, leaving: Floats, entering: Floats, first: int = 0) -> None:
        states = len(leaving)
        super().__init__(states, first)
        self._leaving, self._entering = leaving, entering
        self._begun, self._lasting = np.full(states, np.inf), np.zeros(states)
        self._left = np.zeros(states)  # for how many frames more each may have only begun
        self._entered = np.zeros((0, states), np.bool_)  # which pitches were begun, not gone on with,
        self._grown = np.zeros((0, states), np.bool_)  # which were lasting out of having begun,
        self._best = np.zeros(0, np.int16)  # out of which pitch any other was begun,
        self._best_begun = np.zeros(0, np.bool_)  # and whether that had only begun itself

    def go_on(self, costs: RoomCosts) -> Iterator[HeardStretch]:
        """Take in the next frames; yield what is settled and over."""
        self.take_in(costs)
        yield from self._settle(self._settled())

    def take_in(self, costs: RoomCosts) -> None:
        """Take in the next frames, and settle none."""
        if not len(costs.begun):
            return
        begin: Standings = np.concatenate((self._begun + self._leaving, self._lasting + self._leaving, self._left))
        firsts = _steps(costs.begun)
        lasting = np.add.reduceat(costs.on_the_way, firsts, axis=0, dtype=np.float64)
        through = _Through(costs.begun[firsts], lasting, costs.changing[firsts], self._leaving + self._entering)
        before, end = side_by_side(begin[:, np.newaxis], len(firsts), through, _handed_on)
        self._remember(firsts, before, costs.changing)
        self._keep(_handed_on(end))
        self._rows = np.concatenate((self._rows, costs.either))

    def _remember(self, firsts: NDArray[np.intp], before: Standings, changes: Floats) -> None:
        """Keep what leads back through frames. firsts: those from which a way goes on. before: the scores there."""
        begun, lasting, left = before.reshape(len(before), 3, -1).transpose(1, 0, 2)
        least, ranks = np.minimum(begun, lasting), np.arange(len(firsts))
        at = least.argmin(axis=1)
        moved = least[ranks, at][:, np.newaxis] + changes[firsts, np.newaxis] + (self._leaving + self._entering)
        entered, grown = np.zeros((2, len(changes), moved.shape[1]), np.bool_)
        best, best_begun = np.zeros(len(changes), np.int16), np.zeros(len(changes), np.bool_)
        entered[firsts] = moved < np.where(left > 0.0, begun + BEGUN_COST, _NEVER)
        grown[firsts] = begun < lasting
        best[firsts], best_begun[firsts] = at, grown[firsts, at]
        self._entered = np.concatenate((self._entered, entered))
        self._grown = np.concatenate((self._grown, grown))
        self._best = np.concatenate((self._best, best))
        self._best_begun = np.concatenate((self._best_begun, best_begun))

    def _keep(self, end: Standings) -> None:
        begun, lasting, self._left = end.reshape(3, -1)
        self._begun, self._lasting = begun - self._leaving, lasting - self._leaving

    def _states(self) -> NDArray[np.int16]:
        begun = bool(self._begun.min() < self._lasting.min())
        state = int((self._begun if begun else self._lasting).argmin())
        stop = len(self._best)
        states = np.empty(stop, np.int16)
        while stop:
            first = last_true((self._entered if begun else self._grown)[:stop, state])
            states[first:stop] = state
            state, begun = (int(self._best[first]), bool(self._best_begun[first])) if begun else (state, True)
            stop = first
        return states

    def _forget(self, count: int) -> None:
        self._entered, self._grown = self._entered[count:].copy(), self._grown[count:].copy()
        self._best, self._best_begun = self._best[count:].copy(), self._best_begun[count:].copy()


def _steps(begun: Floats) -> NDArray[np.intp]:
    """The frames from which a way goes on: all, but of those in a row in which no note begins the first alone. Through
    these every pitch just lasts, so that they are as one that costs as much as all of them."""
    never = np.asarray(np.isinf(begun).all(axis=1), np.bool_)
    again = np.zeros_like(never)
    again[1:] = never[1:] & never[:-1]
    return np.flatnonzero(~again)


class _Through:
    """Goes through blocks of frames in a room: tells what each pitch costs that has begun, then each that lasts, both
    with the cost of leaving, then for how many frames each may have only begun.

    begun, lasting, changes: as `RoomCosts` has them. changing: what a change to each pitch costs anywhere.
    """

    def __init__(self, begun: Floats, lasting: Standings, changes: Floats, changing: Floats) -> None:
        self._rows = in_blocks(np.concatenate((begun, lasting, changes[:, np.newaxis]), axis=1))
        self._changing = changing.astype(np.float64)[:, np.newaxis]

    def __call__(self, begins: Standings, blocks: NDArray[np.intp]) -> Standings:
        rows = self._rows[:, :, blocks]
        states = len(self._changing)
        told = np.empty((len(rows) + 1, 3, states, len(blocks)))
        told[0] = begins.reshape(told.shape[1:])
        for row, before, after in zip(rows, told[:-1], told[1:], strict=True):
            self._step(row[:states], row[states:-1], row[-1], before, after)
        return told.reshape(len(told), -1, len(blocks))

    def _step(self, young: Standings, old: Standings, changes: Standings, before: Standings, after: Standings) -> None:
        begun, lasting, left = before
        least = np.minimum(begun, lasting)
        moved = np.add(self._changing, least.min(axis=0) + changes, out=after[0])
        kept = begun + BEGUN_COST
        np.copyto(kept, _NEVER, where=left <= 0.0)
        np.subtract(left, 1.0, out=after[2])
        np.copyto(after[2], MOST_BEGUN_FRAMES - 1.0, where=moved < kept)
        np.minimum(moved, kept, out=after[0])
        after[0] += young
        np.add(least, old, out=after[1])


def _handed_on(ends: Standings) -> Standings:
    """Hand on into the next block: scores above the least one, and no less than no frames."""
    begun, lasting, left = ends.reshape(3, -1, ends.shape[1])
    least = np.minimum(begun.min(axis=0), lasting.min(axis=0))
    return np.concatenate((begun - least, lasting - least, np.maximum(left, 0.0)))
