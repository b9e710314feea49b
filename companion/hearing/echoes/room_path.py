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
        self._ages = np.full(states, MOST_BEGUN_FRAMES)
        self._entered = np.zeros((0, states), np.bool_)  # which pitches were begun, not gone on with,
        self._grown = np.zeros((0, states), np.bool_)  # which were lasting out of having begun,
        self._best = np.zeros(0, np.int16)  # out of which pitch any other was begun,
        self._best_begun = np.zeros(0, np.bool_)  # and whether that had only begun itself

    def go_on(self, costs: RoomCosts) -> Iterator[HeardStretch]:
        """Take in the next frames; yield what is settled and over."""
        begun, lasting, ages = self._begun, self._lasting, self._ages
        entered_rows, grown_rows = (np.empty(costs.begun.shape, np.bool_) for _ in range(2))
        best_rows, best_begun = np.empty(len(costs.begun), np.int16), np.empty(len(costs.begun), np.bool_)
        for at, (young, old, changing) in enumerate(zip(costs.begun, costs.on_the_way, costs.changing, strict=True)):
            grown = begun < lasting
            least = np.where(grown, begun, lasting)
            left = least + self._leaving
            best = int(left.argmin())
            moved = left[best] + self._entering + changing
            kept = np.where(ages < MOST_BEGUN_FRAMES, begun + BEGUN_COST, np.float32(np.inf))
            entered = moved < kept
            begun = np.where(entered, moved, kept) + young
            lasting = least + old
            ages = np.where(entered, 1, ages + 1)
            entered_rows[at], grown_rows[at] = entered, grown
            best_rows[at], best_begun[at] = best, grown[best]
        least_score = min(begun.min(), lasting.min())
        self._begun, self._lasting, self._ages = begun - least_score, lasting - least_score, ages
        self._rows = np.concatenate((self._rows, costs.either))
        self._entered = np.concatenate((self._entered, entered_rows))
        self._grown = np.concatenate((self._grown, grown_rows))
        self._best = np.concatenate((self._best, best_rows))
        self._best_begun = np.concatenate((self._best_begun, best_begun))
        yield from self._settle(self._settled())

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
