"""The likeliest way through a sound in a room, where a note that begins sounds otherwise than one that lasts."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.room_costs import MOST_BEGUN_FRAMES, RoomCosts
from companion.hearing.path import HeardStretch, SettlingFinder
from companion.hearing.spectra import Floats

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
        self._begun, self._lasting = np.full(states, np.inf, np.float32), np.zeros(states, np.float32)
        self._begun_till = np.full(states, -1)  # the last frame, from the next on, up to which each may have only begun
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
        frames, states = costs.begun.shape
        begun_scores, lasting_scores = (np.empty((frames + 1, states), np.float32) for _ in range(2))
        begun = np.add(self._begun, self._leaving, out=begun_scores[0])  # both before each frame, with the cost of
        lasting = np.add(self._lasting, self._leaving, out=lasting_scores[0])  # leaving
        entered = np.empty((frames, states), np.bool_)
        least, kept, over = np.empty_like(begun), np.empty_like(begun), np.empty(states, np.bool_)
        best, till = [], self._begun_till
        changing = costs.changing[:, np.newaxis] + (self._leaving + self._entering)
        rows = zip(costs.begun, costs.on_the_way, changing, entered, begun_scores[1:], lasting_scores[1:], strict=True)
        for frame, (young, old, moved, begins, begun_after, lasting_after) in enumerate(rows):
            np.minimum(begun, lasting, out=least)
            at = least.argmin()
            best.append(at)
            moved += least[at]
            np.add(begun, BEGUN_COST, out=kept)
            np.less(till, frame, out=over)
            np.copyto(kept, _NEVER, where=over)
            np.less(moved, kept, out=begins)
            np.copyto(till, frame + MOST_BEGUN_FRAMES - 1, where=begins)
            np.minimum(moved, kept, out=moved)
            begun = np.add(moved, young, out=begun_after)
            lasting = np.add(least, old, out=lasting_after)
        best_rows = np.array(best, np.int16)
        grown = begun_scores[:-1] < lasting_scores[:-1]
        self._keep(begun - self._leaving, lasting - self._leaving, till - frames)
        self._rows = np.concatenate((self._rows, costs.either))
        self._entered = np.concatenate((self._entered, entered))
        self._grown = np.concatenate((self._grown, grown))
        self._best = np.concatenate((self._best, best_rows))
        self._best_begun = np.concatenate((self._best_begun, grown[np.arange(frames), best_rows]))

    def _keep(self, begun: Floats, lasting: Floats, begun_till: NDArray[np.intp]) -> None:
        least = min(begun.min(), lasting.min())
        self._begun, self._lasting, self._begun_till = begun - least, lasting - least, begun_till

    def _states(self) -> NDArray[np.int16]:
        begun = bool(self._begun.min() < self._lasting.min())
        state = int((self._begun if begun else self._lasting).argmin())
        states = np.empty(len(self._best), np.int16)
        for at in range(len(states) - 1, -1, -1):
            states[at] = state
            if not begun:
                begun = bool(self._grown[at, state])
            elif self._entered[at, state]:
                state, begun = int(self._best[at]), bool(self._best_begun[at])
        return states

    def _forget(self, count: int) -> None:
        self._entered, self._grown = self._entered[count:].copy(), self._grown[count:].copy()
        self._best, self._best_begun = self._best[count:].copy(), self._best_begun[count:].copy()
