"""Follows the notes of a chanter whose voice is known, frame by frame, as they sound."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.echoes.room import LAGS_S
from companion.hearing.known_voice import same_chanter
from companion.hearing.learnt import Learnt
from companion.hearing.live.ground import OWN_SHARE, GroundFollower
from companion.hearing.live.learn_job import as_pitches
from companion.hearing.live.live_note import LiveNote
from companion.hearing.live.live_path import live_path
from companion.hearing.live.teller import LiveTeller
from companion.hearing.live.voice_fitter import VoiceFitter
from companion.hearing.path import HeardStretch
from companion.hearing.spectra import Floats
from companion.hearing.voice import templates_of

FITTED_FRAMES = 80
"""How many frames are looked at together, for how a voice has strayed."""


class NoteFollower:
    """Follows notes by what was learnt. first: the rank of the first frame that it will be given."""

    def __init__(self, learnt: Learnt, first: int = 0) -> None:
        self._powers = np.zeros((0, len(learnt.ground)), np.float32)
        self._leaked = np.zeros((0, len(learnt.ground)), np.float32)
        self._gone = 0  # how many of these have been gone through
        self._next = first
        self._over: list[HeardStretch] = []
        self._keep = round(max(LAGS_S) / learnt.grid.hop_s) + 1
        self._teller = LiveTeller(learnt)
        self._use(learnt)
        self._path = live_path(self.learnt, self._templates, first)

    def can_relearn(self, learnt: Learnt) -> bool:
        """Whether this may be the same chanter, if in another tuning, so that what sounds now may go on."""
        own = as_pitches(self.learnt, learnt.voice.pitches)
        return same_chanter(own, learnt)

    def relearn(self, learnt: Learnt) -> None:
        """Go on with what was learnt anew of the same chanter: no note that sounds is told again."""
        was_in_room = self.learnt.echo is not None
        self._teller.relearn(learnt)
        self._use(learnt)
        if was_in_room == (learnt.echo is not None):
            self._path.use(self.learnt, self._templates)
            return
        self._over += self._path.finish()
        self._path = live_path(self.learnt, self._templates, self._next)

    def _use(self, learnt: Learnt) -> None:
        self._templates = templates_of(learnt.voice, learnt.grid)
        loudest = float(self._templates.powers.max())
        self._ground = GroundFollower(learnt.ground, loudest, learnt.grid.hop_s)
        self.learnt = replace(learnt, ground=self._ground.ground)
        self._fitter = VoiceFitter(self.learnt, self._templates)
        self._fitting: list[tuple[Floats, NDArray[np.intp]]] = []
        self._filled = self._filled_bins()

    def hear(self, powers: Floats, leaked: Floats | None = None) -> tuple[LiveNote, ...]:
        """Take in the next frames; what has become sure, in order of time.

        powers: shape (frames, bins). leaked: what of them comes from our own loudspeaker, likewise; None for nothing.
        """
        if not len(powers):
            return ()
        self._powers = np.concatenate((self._powers, powers))
        self._leaked = np.concatenate((self._leaked, np.zeros_like(powers) if leaked is None else leaked))
        frames = slice(self._gone, len(self._powers) - self._path.ahead)
        if frames.stop <= frames.start:
            return ()
        leaks = bool(self._leaked.any())
        ground = self.learnt.ground + self._leaked if leaks else self.learnt.ground
        gone = self._path.go_on(self._powers, ground, frames)
        told = tuple(self._teller.tell([*self._over, *gone.over], self._path.open))
        self._over.clear()
        self._next += frames.stop - frames.start
        seen, beside = self._powers[frames], self._leaked[frames]
        cut = max(0, frames.stop - self._keep)
        self._powers, self._leaked = self._powers[cut:].copy(), self._leaked[cut:].copy()
        self._gone = frames.stop - cut
        self._follow(seen, beside if beside.any() else None, gone.likeliest)
        return told

    def _follow(self, powers: Floats, leaked: Floats | None, likeliest: NDArray[np.intp]) -> None:
        """Follow the background, and how the voice strays."""
        filled = self._filled[likeliest]
        if leaked is not None:
            filled = filled | (leaked > OWN_SHARE * self.learnt.ground)
        if self._ground.follow(powers, filled):
            self.learnt = replace(self.learnt, ground=self._ground.ground)
            self._path.use(self.learnt, self._templates)
            self._filled = self._filled_bins()
        if leaked is None:
            self._fitting.append((powers, likeliest))
        if sum(len(each) for each, _ in self._fitting) < FITTED_FRAMES:
            return
        rows, pitches = (np.concatenate(each) for each in zip(*self._fitting, strict=True))
        self._fitting.clear()
        strayed = self._fitter.follow(rows, pitches, self.learnt.ground)
        if strayed is not None:
            self.learnt = replace(strayed, ground=self.learnt.ground)
            self._templates = templates_of(strayed.voice, strayed.grid)
            self._path.use(self.learnt, self._templates)
            self._teller.relearn(self.learnt)
            self._filled = self._filled_bins()

    def _filled_bins(self) -> NDArray[np.bool_]:
        """Which bins each pitch fills; what is unlike all, and silence, fill none."""
        filled = self._templates.powers > OWN_SHARE * self.learnt.ground
        return np.concatenate((filled, np.zeros((2, filled.shape[1]), np.bool_)))
