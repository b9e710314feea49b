"""How far a player's notes stray from the pulse, fitted to a whole take once it was heard."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

LEAST_SPREAD_S = 0.004

CLIPPED = 2.0
CLIPPED_MEAN = 0.92
"""Off times count for the spread up to this many standard deviations, so that faults do not; what the square of such a
clipped normal number is on the average (integrated)."""

TAKE_CLIPPED = 2.3
TAKE_CLIPPED_MEAN = 0.962
"""Off times of a whole take count up to this many standard deviations, a little more than at its beginning, since many
notes show how seldom one strays far; what the square of a number clipped there is on the average (integrated)."""

FEWEST_NOTES = 24
"""From fewer notes nothing is fitted: a standard deviation is known to a seventh by so many."""

SAME_SPREAD = 0.02
"""Spreads that differ by no more than this share are the same: a tenth of how well one is known from so many notes."""

CONSTANT_PARTS = (0.0, 0.25, 0.5, 0.75)
"""The shares of the variance that may be the same for all notes, at a usual interval; the rest goes with an interval.
The hand's part is the same however long a note, the inner clock's grows with what it measures (Wing and Kristofferson
1973, from memory)."""

FAULTS = 0.03
"""The share of notes that are taken to be faults, which may come at any time within an interval: two a line (a choice,
no source)."""

ROUNDS = 12
"""How often the variance is reckoned anew from what the last one makes of each note: enough to settle."""


Strayed = tuple[float, float, float, float, float]
"""By how much a note came off its time (s); the variance of its own moment (s²); how many times the variance of a note
the pulse and it together have, for the pulse is known by other notes that stray as well; the intervals before and after
it (s)."""


class FittedSpread:
    """The stray of a take's notes, fitted. It has a part that is the same for all, one that goes with the interval
    before a note, one that goes with the longer of the two beside it, and one that goes with the shorter, up to the
    usual interval. Several mixtures are fitted, and weighed by how likely they make what was heard. Nothing more is
    learnt. The variance (s²) of a note is always + before * before_s² + longer * longer_s² + shorter * min(shorter_s,
    usual_s)².

    strangeness: how much further than expected such a player may stray, for a standard deviation is known to a share of
    so many notes.
    """

    def __init__(self, strayed: Sequence[Strayed]) -> None:
        off_s, unsure, times, before_s, after_s = np.array(strayed).T
        self.strangeness = 1.0 + 1.0 / math.sqrt(len(strayed))
        before, longer = before_s**2, np.maximum(before_s, after_s) ** 2
        usual = float(before.mean())
        shorter = np.minimum(np.minimum(before_s, after_s) ** 2, usual)
        of_longer, of_shorter = usual / float(longer.mean()), usual / float(shorter.mean())
        mixtures = [(usual, 0.0, 0.0, 0.0)]
        for part in CONSTANT_PARTS:
            always, rest = part * usual, 1.0 - part
            mixtures += [
                (always, rest, 0.0, 0.0),
                (always, 0.0, rest * of_longer, 0.0),
                (always, 0.0, 0.0, rest * of_shorter),
            ]
        shapes = np.array(mixtures)
        by_note = shapes @ np.array([np.ones_like(before), before, longer, shorter])
        scale = np.full((len(mixtures), 1), float(np.mean(off_s**2)) / usual)
        for _ in range(ROUNDS):
            variance = unsure + times * np.maximum(scale * by_note, LEAST_SPREAD_S**2)
            strays = np.minimum(off_s**2 / variance, TAKE_CLIPPED**2)
            scale *= strays.mean(axis=1, keepdims=True) / TAKE_CLIPPED_MEAN
        variance = unsure + times * np.maximum(scale * by_note, LEAST_SPREAD_S**2)
        as_fault = math.log(math.sqrt(usual) / FAULTS)
        by_note = 0.5 * (off_s**2 / variance + np.log(math.tau * variance))
        surprise = np.minimum(by_note, as_fault).sum(axis=1)
        weights = np.exp(surprise.min() - surprise)
        parts = (weights[:, None] * scale * shapes).sum(axis=0) / weights.sum()
        self._always, self._before, self._longer, self._shorter = (float(each) for each in parts)
        self._usual_s = math.sqrt(usual)
        self.usual_s = self.noise_of_even_s(self._usual_s)

    def fitted(self) -> FittedSpread:
        """Return this one: there is nothing more to fit."""
        return self

    def is_like(self, other: object) -> bool:
        """Whether notes stray alike by both, to SAME_SPREAD."""
        if not isinstance(other, FittedSpread):
            return False
        intervals = ((self._usual_s, self._usual_s), (self._usual_s, 2.0 * self._usual_s), (0.0, 0.0))
        pairs = [(self.noise_s(*each), other.noise_s(*each)) for each in intervals]
        return all(abs(one - two) <= SAME_SPREAD * max(one, two) for one, two in pairs)

    def noise_s(self, before_s: float, after_s: float) -> float:
        """The standard deviation of a note between two intervals, in s."""
        longer_s, shorter_s = (before_s, after_s) if before_s > after_s else (after_s, before_s)
        if shorter_s > self._usual_s:
            shorter_s = self._usual_s
        variance = self._always + self._before * before_s**2 + self._longer * longer_s**2 + self._shorter * shorter_s**2
        return math.sqrt(variance) if variance > LEAST_SPREAD_S**2 else LEAST_SPREAD_S

    def noise_of_even_s(self, interval_s: float) -> float:
        """The standard deviation of a note between two intervals of that length, in s."""
        return self.noise_s(interval_s, interval_s)

    def note(self, strayed: Strayed) -> None:
        """Nothing is kept: all of the take was fitted."""

    def learn(self, off_s: float, pulse_variance: float, before_s: float, after_s: float) -> None:
        """Nothing is learnt: all of the take was fitted."""
