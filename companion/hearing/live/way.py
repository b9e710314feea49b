"""The likeliest way through a sound that is still going on, settled at most 40 ms late."""

from __future__ import annotations

from abc import abstractmethod

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.changes import BESIDE_FRAMES
from companion.hearing.echoes.room_path import RoomPathFinder
from companion.hearing.path import HeardStretch, PathFinder, SettlingFinder
from companion.hearing.spectra import Floats
from companion.hearing.voice import AudiblePitch
from companion.hearing.walks.walk import change_costs
from fingering.notes import Note

LAG_FRAMES = 16
"""40 ms: what lies further back is settled, even where ways still part."""

TOLD_OF_HELD_FRAMES = 7
"""18 ms: so much of a note must be settled before it is told (`teller`)."""

OPEN_NATS = 4.0
"""A way that costs so much more than the best is open no longer: it would come true once in fifty times."""

UNLIKE_BEGINS_COST = 12.0
"""What it costs to take up, beside any change, that something else than a chanter sounds: as a frame or two of a
chanter's own sound cost that fits no pitch, where one note gives way to the next. By trial."""


Names = NDArray[np.intp]
"""Of each state the rank of its note: what tells that fingerings are of one note."""


class LaggedFinder(SettlingFinder):
    """Settles a frame as soon as all ways that are still open agree on its note, and after 40 ms anyhow.

    What begins a note is then settled with as much more of it as is asked for to tell it, if the best way has held
    that note for the whole 40 ms: frame by frame that would take as long again.
    """

    lag_frames = LAG_FRAMES
    _leaving: Floats
    _entering: Floats
    _names: Names

    @property
    def open(self) -> HeardStretch | None:
        """What sounds at the last frame that is settled."""
        return self._joiner.open

    def change(self, leaving: Floats, entering: Floats) -> None:
        """Go on with other costs of leaving and entering the same states."""
        self._leaving, self._entering = leaving, entering

    def _settled(self) -> int:
        return max(len(self._rows) - self.lag_frames, self._agreed(), self._held())

    def _held(self) -> int:
        """How many frames are settled where the best way has held its last note for the lag."""
        if not len(self._rows):
            return 0
        names = self._names[self._states()]
        others = np.flatnonzero(names != names[-1])
        begun = int(others[-1]) + 1 if len(others) else 0
        before = self.open
        if begun == 0 and before is not None and self._names[before.pitch] == names[-1]:
            begun -= before.stop - before.first
        return begun + TOLD_OF_HELD_FRAMES if len(names) - begun >= self.lag_frames else 0

    def _alike(self, states: NDArray[np.intp]) -> bool:
        """Whether states have one name."""
        names = self._names[states]
        return bool((names == names[0]).all())

    @abstractmethod
    def _agreed(self) -> int:
        """How many frames all open ways agree on."""


class LaggedPathFinder(LaggedFinder, PathFinder):
    """A PathFinder that settles soon."""

    def __init__(self, leaving: Floats, entering: Floats, names: Names, first: int = 0) -> None:
        super().__init__(leaving, entering, first)
        self._names = names

    def _agreed(self) -> int:
        score = self._score
        at = np.flatnonzero(score <= score.min() + OPEN_NATS)
        agreed = len(self._best)
        for frame in range(len(self._best) - 1, -1, -1):
            if len(at) == 1:
                break  # from here back all ways are one
            if not self._alike(at):
                agreed = frame
            at = np.unique(np.where(self._entered[frame, at], self._best[frame], at))
        return agreed


class LaggedRoomPathFinder(LaggedFinder, RoomPathFinder):
    """A RoomPathFinder that settles soon: as ways agree on a frame's pitch, whether or not that has only begun.

    Its costs tell of 10 ms later than the frame itself; so the lag is that much less.
    """

    lag_frames = LAG_FRAMES - BESIDE_FRAMES

    def __init__(self, leaving: Floats, entering: Floats, names: Names, first: int = 0) -> None:
        super().__init__(leaving, entering, first)
        self._names = names

    def _agreed(self) -> int:
        most = min(self._begun.min(), self._lasting.min()) + OPEN_NATS
        begun, lasting = self._begun <= most, self._lasting <= most
        agreed = len(self._best)
        for frame in range(len(self._best) - 1, -1, -1):
            if not self._alike(np.flatnonzero(begun | lasting)):
                agreed = frame
            elif np.count_nonzero(begun) + np.count_nonzero(lasting) == 1:
                break  # from here back all ways are one
            entered, grown = self._entered[frame], self._grown[frame]
            moved = bool((begun & entered).any())
            begun, lasting = (begun & ~entered) | (lasting & grown), lasting & ~grown
            if moved:
                (begun if self._best_begun[frame] else lasting)[self._best[frame]] = True
        return agreed


def live_change_costs(pitches: tuple[AudiblePitch, ...], *, in_room: bool = False) -> tuple[Floats, Floats]:
    """What leaving and entering each pitch costs, then what is unlike all of them, and silence last."""
    leaving, entering = change_costs(pitches, in_room=in_room)
    unlike = np.float32(entering[-1] + UNLIKE_BEGINS_COST)
    return np.insert(leaving, len(pitches), leaving[-1]), np.insert(entering, len(pitches), unlike)


def names_of(pitches: tuple[AudiblePitch, ...]) -> Names:
    """The note of each state: fingerings of one note have one, what is unlike all and silence each their own."""
    return np.array([*(each.note for each in pitches), len(Note), len(Note) + 1], np.intp)
