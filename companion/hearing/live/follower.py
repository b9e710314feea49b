"""Follows the notes of a chanter whose voice is known, frame by frame, as they sound."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.learning import Learnt, frame_costs
from companion.hearing.live.ground import OWN_SHARE, GroundFollower
from companion.hearing.live.live_note import LiveNote
from companion.hearing.live.teller import LiveTeller
from companion.hearing.live.unlike import unlike_costs
from companion.hearing.live.way import LaggedPathFinder, live_change_costs
from companion.hearing.room import LAGS_S
from companion.hearing.spectra import Floats
from companion.hearing.voice import templates_of


class NoteFollower:
    """Follows notes by what was learnt. first: the rank of the first frame that it will be given."""

    def __init__(self, learnt: Learnt, first: int = 0) -> None:
        self._before = np.zeros((0, len(learnt.ground)), np.float32)
        self._finder = LaggedPathFinder(*live_change_costs(learnt.voice.pitches), first)
        self._teller = LiveTeller(learnt)
        self._next = first
        self._use(learnt)

    def _use(self, learnt: Learnt) -> None:
        self.learnt = learnt
        self._templates = templates_of(learnt.voice, learnt.grid)
        loudest = float(self._templates.powers.max())
        self._ground = GroundFollower(learnt.ground, loudest, learnt.grid.hop_s)
        self._filled = self._filled_bins()

    def relearn(self, learnt: Learnt) -> None:
        """Go on with what was learnt anew of the same chanter: its pitches are the same."""
        self._teller.relearn(learnt)
        self._use(learnt)

    def hear(self, powers: Floats) -> tuple[LiveNote, ...]:
        """Take in the next frames, shape (frames, bins); what has become sure, in order of time."""
        if not len(powers):
            return ()
        whole = np.concatenate((self._before, powers))
        learnt = self.learnt
        costs = frame_costs(whole, learnt, self._templates, len(self._before))
        costs = np.insert(costs, len(learnt.voice.pitches), unlike_costs(powers, learnt.ground), axis=1)
        keep = round(max(LAGS_S) / learnt.grid.hop_s) + 1
        self._before = whole[-keep:]
        self._next += len(powers)
        over = list(self._finder.go_on(costs))
        self._finder.likely.clear()
        told = tuple(self._teller.tell(over, self._finder.open))
        self._follow_ground(powers, costs)
        return told

    def _follow_ground(self, powers: Floats, costs: Floats) -> None:
        likeliest = costs.argmin(axis=1)
        if self._ground.follow(powers, self._filled[likeliest]):
            self.learnt = replace(self.learnt, ground=self._ground.ground)
            self._filled = self._filled_bins()

    def _filled_bins(self) -> NDArray[np.bool_]:
        """Which bins each pitch fills; what is unlike all, and silence, fill none."""
        filled = self._templates.powers > OWN_SHARE * self.learnt.ground
        return np.concatenate((filled, np.zeros((2, filled.shape[1]), np.bool_)))
