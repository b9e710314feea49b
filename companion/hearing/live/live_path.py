"""The likeliest way through frames as they come, by a voice that may be learnt anew meanwhile."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.beginnings import expected_beginnings
from companion.hearing.echoes.changes import BESIDE_FRAMES
from companion.hearing.echoes.room_costs import RoomCosts, room_costs
from companion.hearing.learning import LASTING_FALSE_COST, Learnt, frame_costs
from companion.hearing.live.room_way import LaggedRoomPathFinder
from companion.hearing.live.unlike import UNSEEN_COST, unlike_costs
from companion.hearing.live.way import LaggedPathFinder, live_change_costs
from companion.hearing.path import HeardStretch
from companion.hearing.spectra import Floats
from companion.hearing.voice import Templates
from fingering.notes import Note


class LivePath(ABC):
    """Goes through frames by costs of each pitch of a voice, of what is unlike all of them, and of silence.

    ahead: how many frames must be known after one that is gone through.
    """

    ahead: int

    def __init__(self, learnt: Learnt, templates: Templates) -> None:
        self.use(learnt, templates)

    def use(self, learnt: Learnt, templates: Templates) -> None:
        """Go on with another voice of the same pitches."""
        self._learnt, self._templates = learnt, templates
        self._unseen = np.float32(UNSEEN_COST) * np.isnan(learnt.voice.seen[:, 0])

    @abstractmethod
    def go_on(
        self, powers: Floats, ground: Floats, frames: slice
    ) -> tuple[list[HeardStretch], NDArray[np.intp]]:
        """Go through some of the frames; what is settled and over since, and what each frame is likest to.

        powers: shape (frames, bins). ground: what sounds beside, shape (bins,) or (frames, bins).
        """

    @property
    @abstractmethod
    def open(self) -> HeardStretch | None:
        """What sounds at the last frame that is settled."""

    @abstractmethod
    def finish(self) -> Iterator[HeardStretch]:
        """Yield the rest."""

    def _unlike(self, powers: Floats, ground: Floats, costs: Floats) -> Floats:
        return unlike_costs(powers, ground) + self._unseen[costs[:, :-1].argmin(axis=1)]


class DryPath(LivePath):
    """The way where no room echoes."""

    ahead = 0

    def __init__(self, learnt: Learnt, templates: Templates, first: int) -> None:
        super().__init__(learnt, templates)
        self._finder = LaggedPathFinder(*live_change_costs(learnt.voice.pitches), first)

    def go_on(self, powers: Floats, ground: Floats, frames: slice) -> tuple[list[HeardStretch], NDArray[np.intp]]:
        seen, beside = powers[frames], ground if ground.ndim == 1 else ground[frames]
        costs = frame_costs(seen, replace(self._learnt, ground=beside), self._templates)
        costs = np.insert(costs, costs.shape[1] - 1, self._unlike(seen, beside, costs), axis=1)
        over = list(self._finder.go_on(costs))
        self._finder.likely.clear()
        return over, costs.argmin(axis=1)

    @property
    def open(self) -> HeardStretch | None:
        return self._finder.open

    def finish(self) -> Iterator[HeardStretch]:
        return self._finder.finish()


class RoomPath(LivePath):
    """The way where a room echoes: each pitch begins, then lasts."""

    ahead = BESIDE_FRAMES

    def __init__(self, learnt: Learnt, templates: Templates, first: int) -> None:
        super().__init__(learnt, templates)
        self._finder = LaggedRoomPathFinder(*live_change_costs(learnt.voice.pitches, in_room=True), first)

    def use(self, learnt: Learnt, templates: Templates) -> None:
        super().use(learnt, templates)
        beginnings = learnt.beginnings or expected_beginnings(templates)
        self._begun = beginnings.templates(templates, learnt.ground, learnt.voice, learnt.grid)

    def go_on(self, powers: Floats, ground: Floats, frames: slice) -> tuple[list[HeardStretch], NDArray[np.intp]]:
        learnt = self._learnt
        assert learnt.echo is not None
        costs = room_costs(
            powers, ground, learnt.echo, self._templates, self._begun, learnt.own_db, learnt.grid.hop_s, frames
        )
        costs.lasting[:, len(Note) : -1] += np.float32(LASTING_FALSE_COST)
        either = costs.either
        unlike = self._unlike(powers[frames], ground if ground.ndim == 1 else ground[frames], either)
        last = either.shape[1] - 1
        begun, lasting = (np.insert(each, last, unlike, axis=1) for each in (costs.begun, costs.lasting))
        costs = RoomCosts(begun, lasting, costs.changing, costs.going_on)
        over = list(self._finder.go_on(costs))
        self._finder.likely.clear()
        return over, np.insert(either, last, unlike, axis=1).argmin(axis=1)

    @property
    def open(self) -> HeardStretch | None:
        return self._finder.open

    def finish(self) -> Iterator[HeardStretch]:
        return self._finder.finish()


def live_path(learnt: Learnt, templates: Templates, first: int) -> LivePath:
    """The way by a voice, as its room asks for. first: the rank of the first frame."""
    return (DryPath if learnt.echo is None else RoomPath)(learnt, templates, first)
