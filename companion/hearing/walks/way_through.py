"""Goes through a sound of any length, block by block, by what was learnt of it. Memory is that of a block."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from companion.hearing.echoes.changes import BESIDE_FRAMES
from companion.hearing.echoes.room import LAGS_S
from companion.hearing.echoes.room_path import RoomPathFinder
from companion.hearing.learnt import Learnt
from companion.hearing.path import HeardStretch, Likely, PathFinder
from companion.hearing.spectra import Floats
from companion.hearing.telling import changes_packed, moments_packed
from companion.hearing.voice import templates_of
from companion.hearing.walks.walk import begun_templates, change_costs, frame_costs_by_tables, frame_costs_in_room


class WayThrough:
    """The likeliest way through frames that come in blocks. moments: what each cost, and
    changes: what a change of note does in a room, for `SoundEvidence`."""

    def __init__(self, learnt: Learnt) -> None:
        self._learnt = learnt
        self._templates = templates_of(learnt.voice, learnt.grid)
        self._begun = self._templates if learnt.echo is None else begun_templates(learnt, self._templates)
        self._powers = np.zeros((0, len(learnt.ground)), np.float32)
        self._gone = 0  # how many of these have been gone through
        pitches = learnt.voice.pitches
        self._dry = PathFinder(*change_costs(pitches))
        self._in_room = RoomPathFinder(*change_costs(pitches, in_room=True))
        self._keep = round(max(LAGS_S) / learnt.grid.hop_s) + 1
        self.moments: list[bytes] = []
        self.changes: list[bytes] = []

    @property
    def likely(self) -> list[Likely]:
        """Pitches that may have sounded within the stretches that are settled."""
        return (self._dry if self._learnt.echo is None else self._in_room).likely

    def go_on(self, powers: Floats) -> Iterator[HeardStretch]:
        """Take in the next frames, shape (frames, bins); yield what is settled and over."""
        self._powers = np.concatenate((self._powers, powers))
        ahead = 0 if self._learnt.echo is None else BESIDE_FRAMES
        yield from self._go_through(len(self._powers) - ahead)
        cut = max(0, self._gone - self._keep)
        self._powers, self._gone = self._powers[cut:].copy(), self._gone - cut

    def finish(self) -> Iterator[HeardStretch]:
        """Yield the rest."""
        yield from self._go_through(len(self._powers))
        yield from (self._dry if self._learnt.echo is None else self._in_room).finish()

    def _go_through(self, stop: int) -> Iterator[HeardStretch]:
        if stop <= self._gone:
            return
        frames, self._gone = slice(self._gone, stop), stop
        learnt = self._learnt
        if learnt.echo is None:
            costs = frame_costs_by_tables(self._powers[frames], learnt, self._templates)
            self.moments.append(moments_packed(costs, learnt.voice.pitches))
            yield from self._dry.go_on(costs)
        else:
            in_room = frame_costs_in_room(self._powers, learnt, self._templates, self._begun, learnt.echo, frames)
            self.moments.append(moments_packed(in_room.either, learnt.voice.pitches))
            self.changes.append(changes_packed(in_room.changing))
            yield from self._in_room.go_on(in_room)
