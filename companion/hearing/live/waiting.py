"""Frames that wait to be heard: some seconds of them where a voice had to be learnt first."""

from __future__ import annotations

from collections import deque

import numpy as np

from companion.hearing.spectra import Floats

CATCH_UP = 10
CATCH_UP_FRAMES = 40
"""How many frames of those that wait are heard for each new one, and at most at once: some 6 ms of work."""


class WaitingFrames:
    """Frames in the order in which they came, each part with what has leaked into it.

    first: the rank of the first that waits. end: the rank that the next to come will have.
    """

    def __init__(self, bins: int) -> None:
        self._bins = bins
        self._parts: deque[tuple[Floats, Floats | None]] = deque()
        self.first = 0
        self.end = 0

    def add(self, powers: Floats, leaked: Floats | None) -> None:
        """Have these wait. leaked: of the same shape, or None for nothing."""
        if len(powers):
            self._parts.append((powers, leaked))
            self.end += len(powers)

    def forget_beyond(self, frames: int) -> None:
        """Give up the oldest, until no more than so many wait."""
        while self.end - self.first > frames:
            self.first += len(self._parts.popleft()[0])

    def next_parts(self, came: int) -> list[tuple[Floats, Floats | None]]:
        """The next frames to hear, where so many came just now; what leaked into nothing and into something apart."""
        most = max(came, min(CATCH_UP * came, CATCH_UP_FRAMES))
        parts: list[tuple[Floats, Floats | None]] = []
        while self._parts and most > 0:
            powers, leaked = self._parts.popleft()
            if len(powers) > most:
                self._parts.appendleft((powers[most:], None if leaked is None else leaked[most:]))
                powers, leaked = powers[:most], None if leaked is None else leaked[:most]
            most -= len(powers)
            self.first += len(powers)
            if parts and leaked is None and parts[-1][1] is None:
                parts[-1] = (np.concatenate((parts[-1][0], powers)), None)
            else:
                parts.append((powers, leaked))
        return parts
