"""The likeliest way through frames as they come, by a voice that may be learnt anew meanwhile."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.changes import BESIDE_FRAMES
from companion.hearing.echoes.room_costs import RoomCosts
from companion.hearing.learnt import Learnt
from companion.hearing.live.unlike import UNSEEN_COST, unlike_costs
from companion.hearing.live.way import LaggedFinder, LaggedPathFinder, LaggedRoomPathFinder, live_change_costs, names_of
from companion.hearing.path import HeardStretch
from companion.hearing.spectra import Floats
from companion.hearing.voice import Templates
from companion.hearing.walks.walk import begun_templates, frame_costs, frame_costs_in_room

UNLIKE_IN_ROOM_LESS = 4.0
"""The cost taken off what is unlike all in a room. Little is known of how a pitch begins there, so that a babble or
noise costs as such a beginning within 5 nats of what it does as a sound that nothing is known of; what a chanter sounds
costs 9 to 30 less than that."""


@dataclass(frozen=True, slots=True, eq=False)
class GoneThrough:
    """Some frames gone through. over: the stretches that are settled and over since. likeliest: which pitch
    each frame is likest to by itself, or what is unlike all, or silence, by their ranks in this order."""

    over: tuple[HeardStretch, ...]
    likeliest: NDArray[np.intp]


class LivePath(ABC):
    """Goes through frames by what each costs as each pitch of a voice, as what is unlike all of them, and as silence.

    ahead: how many frames must be known after one that is gone through.
    """

    ahead: int

    def __init__(self, finder: LaggedFinder, learnt: Learnt, templates: Templates) -> None:
        self._finder = finder
        self.use(learnt, templates)

    def use(self, learnt: Learnt, templates: Templates) -> None:
        """Go on with another voice whose pitches are of the same notes."""
        self._learnt, self._templates = learnt, templates
        self._unseen = np.float32(UNSEEN_COST) * np.isnan(learnt.voice.seen[:, 0])
        self._finder.change(*live_change_costs(learnt.voice.pitches, in_room=learnt.echo is not None))

    @abstractmethod
    def go_on(self, powers: Floats, ground: Floats, frames: slice) -> GoneThrough:
        """Go through some of the frames; of the others only the sound counts.

        powers: shape (all frames, bins). ground: what sounds beside, shape (bins,) or (all frames, bins).
        """

    @property
    def open(self) -> HeardStretch | None:
        """The note or silence at the last frame that is settled."""
        return self._finder.open

    def finish(self) -> Iterator[HeardStretch]:
        """Yield the rest."""
        return self._finder.finish()

    def _with_unlike(self, costs: Floats, unlike: Floats) -> Floats:
        return np.column_stack((costs[:, :-1], unlike, costs[:, -1]))

    def _unlike(self, powers: Floats, ground: Floats, costs: Floats) -> Floats:
        return np.asarray(unlike_costs(powers, ground) + self._unseen[costs[:, :-1].argmin(axis=1)], np.float32)


class DryPath(LivePath):
    """The way where no room echoes."""

    ahead = 0

    def __init__(self, learnt: Learnt, templates: Templates, first: int) -> None:
        self._ways = LaggedPathFinder(*live_change_costs(learnt.voice.pitches), names_of(learnt.voice.pitches), first)
        super().__init__(self._ways, learnt, templates)

    def go_on(self, powers: Floats, ground: Floats, frames: slice) -> GoneThrough:
        """See `LivePath`."""
        seen, beside = powers[frames], ground if ground.ndim == 1 else ground[frames]
        costs = frame_costs(seen, replace(self._learnt, ground=beside), self._templates)
        costs = self._with_unlike(costs, self._unlike(seen, beside, costs))
        over = tuple(self._ways.go_on(costs))
        self._ways.likely.clear()
        return GoneThrough(over, costs.argmin(axis=1))


class RoomPath(LivePath):
    """The way where a room echoes: each pitch begins, then lasts, and changes are seen from both sides."""

    ahead = BESIDE_FRAMES

    def __init__(self, learnt: Learnt, templates: Templates, first: int) -> None:
        self._ways = LaggedRoomPathFinder(
            *live_change_costs(learnt.voice.pitches, in_room=True), names_of(learnt.voice.pitches), first
        )
        super().__init__(self._ways, learnt, templates)

    def use(self, learnt: Learnt, templates: Templates) -> None:
        """See `LivePath`."""
        super().use(learnt, templates)
        self._begun = begun_templates(learnt, templates)

    def go_on(self, powers: Floats, ground: Floats, frames: slice) -> GoneThrough:
        """See `LivePath`."""
        learnt = replace(self._learnt, ground=ground)
        assert learnt.echo is not None
        costs = frame_costs_in_room(powers, learnt, self._templates, self._begun, learnt.echo, frames)
        unlike = self._unlike(powers[frames], ground if ground.ndim == 1 else ground[frames], costs.either)
        unlike -= np.float32(UNLIKE_IN_ROOM_LESS)
        begun, lasting = (self._with_unlike(each, unlike) for each in (costs.begun, costs.lasting))
        costs = RoomCosts(begun, lasting, costs.changing, costs.going_on)
        over = tuple(self._ways.go_on(costs))
        self._ways.likely.clear()
        return GoneThrough(over, costs.lasting.argmin(axis=1))


def live_path(learnt: Learnt, templates: Templates, first: int) -> LivePath:
    """The way by a voice, as its room asks for. first: the rank of the first frame."""
    return (DryPath if learnt.echo is None else RoomPath)(learnt, templates, first)
