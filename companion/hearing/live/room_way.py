"""The likeliest way through a sound in a room that is still going on, told soon."""

from __future__ import annotations

import numpy as np

from companion.hearing.echoes.room_path import RoomPathFinder
from companion.hearing.live.way import LAG_FRAMES, OPEN_NATS
from companion.hearing.path import HeardStretch


class LaggedRoomPathFinder(RoomPathFinder):
    """A RoomPathFinder that settles a frame as soon as all ways that are still open agree on its pitch, and after some
    time anyhow. Whether that pitch has only begun may be open still."""

    @property
    def open(self) -> HeardStretch | None:
        """What sounds at the last frame that is settled."""
        return self._joiner.open

    def _settled(self) -> int:
        return max(len(self._best) - LAG_FRAMES, self._agreed())

    def _agreed(self) -> int:
        """How many frames all open ways agree on."""
        most = min(self._begun.min(), self._lasting.min()) + OPEN_NATS
        begun, lasting = self._begun <= most, self._lasting <= most
        agreed = len(self._best)
        for frame in range(len(self._best) - 1, -1, -1):
            if np.count_nonzero(begun | lasting) > 1:
                agreed = frame
            elif np.count_nonzero(begun) + np.count_nonzero(lasting) == 1:
                break
            entered, grown = self._entered[frame], self._grown[frame]
            moved = bool((begun & entered).any())
            begun, lasting = (begun & ~entered) | (lasting & grown), lasting & ~grown
            if moved:
                (begun if self._best_begun[frame] else lasting)[self._best[frame]] = True
        return agreed
