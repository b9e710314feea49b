"""Frames that wait to be heard: some seconds of them where a voice had to be learnt first."""

from __future__ import annotations

from collections import deque

import numpy as np

from companion.hearing.spectra import Floats

CATCH_UP = 10
CATCH_UP_FRAMES = 40
"""How many frames of those that wait are heard for each new one, and at most at once: some 6 ms of work."""


class WaitingFrames:
    """Frames in the order in which they came.

    first: the rank of the first that waits. end: the rank that the next to come will have.
    """

    def __init__(self, bins: int) -> None:
        self._nothing = np.zeros((0, bins), np.float32)
        self._parts: deque[Floats] = deque()
        self.first = 0
        self.end = 0

    def add(self, powers: Floats) -> None:
        """Have these wait, shape (frames, bins)."""
        if len(powers):
            self._parts.append(powers)
            self.end += len(powers)

    def forget_beyond(self, frames: int) -> None:
        """Give up the oldest, until no more than so many wait."""
        while self.end - self.first > frames:
            self.first += len(self._parts.popleft())

    def next_frames(self, came: int) -> Floats:
        """The next to be heard, where so many came just now, and wait no longer."""
        most = max(came, min(CATCH_UP * came, CATCH_UP_FRAMES))
        parts = [self._nothing]
        while self._parts and most > 0:
            powers = self._parts.popleft()
            if len(powers) > most:
                self._parts.appendleft(powers[most:])
                powers = powers[:most]
            most -= len(powers)
            self.first += len(powers)
            parts.append(powers)
        return np.concatenate(parts)
