"""How a chanter's level and tuning stray from the voice that is known: followed slowly."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.known_voice import louder, tuned
from companion.hearing.learnt import Learnt
from companion.hearing.spectra import Floats
from companion.hearing.voice import DECIBELS, Templates, templates_of
from fingering.notes import Note

OVER_GROUND = 10.0

STEADY_FRAMES = 8
ENOUGH_FRAMES = 200
"""Strays are looked at once half a second was heard of notes' inner parts, 20 ms from their ends."""

TUNED_TO_HZ = 2_500.0
"""Below this a bin's power still says which way a pitch strayed, if by 30 cents: a lobe is 200 Hz wide."""

SLOPE_CENTS = 5.0
STEP_CENTS, STEP_DB = 10.0, 3.0
MOST_CENTS = 40.0
"""A voice is followed so far from where it was learnt: a chanter's pitch goes with its temperature."""

LEAST_CENTS, LEAST_DB = 1.5, 0.7
"""Strays smaller than these are left alone."""


class VoiceFitter:
    """Follows how a voice strays in level and tuning from what is known, by the notes that are heard."""

    def __init__(self, learnt: Learnt, templates: Templates) -> None:
        self._cents = 0.0
        self._use(learnt, templates)

    def _use(self, learnt: Learnt, templates: Templates) -> None:
        count = len(Note)
        self._learnt = learnt
        self._templates = templates.powers[:count]
        sides = [
            templates_of(tuned(learnt, cents).voice, learnt.grid).powers[:count]
            for cents in (SLOPE_CENTS, -SLOPE_CENTS)
        ]
        self._slopes = (DECIBELS * (np.log(sides[0]) - np.log(sides[1])) / (2.0 * SLOPE_CENTS)).astype(np.float32)
        self._low = learnt.grid.bins_hz < TUNED_TO_HZ
        self._frames = 0
        self._cents_sum, self._cents_weight = 0.0, 0.0
        self._gains: list[float] = []

    def follow(self, powers: Floats, pitches: NDArray[np.intp], ground: Floats) -> Learnt | None:
        """Take in frames and which pitch each is likest to; the voice anew, once it has strayed."""
        same = np.ones(len(pitches), np.bool_)
        for away in (1, STEADY_FRAMES):
            if len(pitches) <= 2 * away:
                return None
            same[away:] &= pitches[away:] == pitches[:-away]
            same[:-away] &= pitches[:-away] == pitches[away:]
        same[:STEADY_FRAMES] = same[-STEADY_FRAMES:] = False
        for note in Note:
            chosen = np.flatnonzero(same & (pitches == note))
            if len(chosen):
                self._measure(powers[chosen], note, ground)
        return self._anew() if self._frames >= ENOUGH_FRAMES else None

    def _measure(self, seen: Floats, note: Note, ground: Floats) -> None:
        strong = (self._templates[note] > OVER_GROUND * ground) & self._low
        if not strong.any():
            return
        away = DECIBELS * (
            np.log(np.maximum(seen[:, strong], 1e-12)) - np.log(self._templates[note][strong] + ground[strong])
        )
        gain = np.median(away, axis=1)
        slope = self._slopes[note][strong]
        slope = slope - slope.mean()
        rest = np.clip(away - away.mean(axis=1, keepdims=True), -10.0, 10.0)
        self._cents_sum += float((rest * slope).sum())
        self._cents_weight += float((slope**2).sum()) * len(seen)
        self._gains += gain.tolist()
        self._frames += len(seen)

    def _anew(self) -> Learnt | None:
        cents = float(np.clip(self._cents_sum / max(self._cents_weight, 1e-9), -STEP_CENTS, STEP_CENTS))
        cents = float(np.clip(cents, -MOST_CENTS - self._cents, MOST_CENTS - self._cents))
        by_db = float(np.clip(np.median(self._gains), -STEP_DB, STEP_DB))
        learnt = self._learnt
        self._frames, self._cents_sum, self._cents_weight = 0, 0.0, 0.0
        self._gains.clear()
        if abs(cents) < LEAST_CENTS and abs(by_db) < LEAST_DB:
            return None
        self._cents += cents
        learnt = louder(tuned(learnt, cents), by_db)
        self._use(learnt, templates_of(learnt.voice, learnt.grid))
        return learnt
