"""How far a player's tempo wanders, fitted to a take once it was heard: with a tempo that wanders fast, all that was
played longer ago tells less of when a note was due."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

USUAL_TEMPO_WANDER = 0.01
"""How much tempo wanders in one second of the tune, as a share, until it is fitted: a player slows by a tenth over a
phrase."""

PULSE_WANDER = 0.3
"""How much the pulse itself strays from one note to the next, as a share of what a note strays by. It is not fitted: by
what would be fitted to players whose errors add up (1.0), more of their faults would be missed than false ones
saved."""

TEMPO_WANDERS = (0.005, 0.01, 0.02, 0.03)
PULSE_WANDERS = (0.1, PULSE_WANDER, 0.6, 1.0)
TIMES_STRAYED = (0.7, 0.85, 1.0, 1.2)
"""What is tried, each with each: how tempo wanders, how the pulse does, and how many times as much notes stray as was
learnt; lest a pulse or notes that stray be taken for a tempo that wanders."""

FEWEST_NOTES = 24
"""From fewer notes nothing is fitted, as for what they stray by."""

MOST_NOTES = 300
"""The notes of two parts tell enough, to a fifth, of how a tempo wanders: no more are looked at."""

MOST_SURPRISE = 9.0
"""A note surprises no more than one three standard deviations off, in squares of them: it may be a fault."""


class Followed(NamedTuple):
    """A note as the pulse took it in at the first hearing.

    step_s: how much further it stands in the tune than the one before, in s. at_s: when it came. own: the variance of
    the note by itself (s²). unsure: that of the moment taken for its beat (s²). even: the variance of a note between
    two intervals of that step (s²). believed: whether it was on its time; else the pulse moved with it or, `left`, went
    on without it.
    """

    step_s: float
    at_s: float
    own: float
    unsure: float
    even: float
    believed: bool = False
    left: bool = False

    def __deepcopy__(self, memo: object) -> Followed:
        """Return itself: nothing of it changes, and where followers part there are hundreds to copy."""
        return self


class FirstNotes:
    """The first notes of a take as the pulse took them in, in runs that have nothing to do with each other."""

    def __init__(self, most: int = MOST_NOTES) -> None:
        """most: how many are kept."""
        self._runs: list[list[Followed]] = []
        self.room = most

    def begin(self, at_s: float, own: float, unsure: float) -> None:
        """Keep the first note of a run."""
        self._runs.append([Followed(0.0, at_s, own, unsure, 0.0)])

    def keep(self, note: Followed) -> None:
        """Keep one more of the run."""
        self._runs[-1].append(note)
        self.room -= 1

    def tempo_wander(self, ratio: float, ratio_spread: float) -> float:
        """Return how much tempo wandered in them: see `fitted_tempo_wander`."""
        return fitted_tempo_wander(self._runs, ratio, ratio_spread)


def fitted_tempo_wander(runs: Sequence[Sequence[Followed]], ratio: float, ratio_spread: float) -> float:
    """Return how much tempo wanders in one second of the tune, as a share: what makes the notes likeliest, weighed.

    runs: notes in a row that have to do with each other; from run to run only the tempo goes on. ratio: seconds played
    for each asked one at the beginning, known to the share `ratio_spread`.
    """
    if sum(map(len, runs)) < FEWEST_NOTES:
        return USUAL_TEMPO_WANDER
    tried = np.meshgrid(TEMPO_WANDERS, PULSE_WANDERS, TIMES_STRAYED, indexing="ij")
    by_tempo, by_pulse, strays = (each.ravel() ** 2 for each in tried)
    steps_s, _, own, unsure, even, _, _ = np.array([note for run in runs for note in run]).T[:, :, None]
    noises, wanders = strays * own + unsure, by_pulse * strays * even
    tempos = by_tempo * ratio**2 * np.maximum(steps_s, 0.0)
    due_s, var_due, cov, ratios, var_ratio = np.zeros((5, len(by_tempo)))
    ratios += ratio
    var_ratio += (ratio_spread * ratio) ** 2
    offs_s, variances = [], []
    begins = {sum(map(len, runs[:rank])) for rank in range(len(runs))}
    for rank, note in enumerate(note for run in runs for note in run):
        step_s = note.step_s
        by_ratio = step_s * var_ratio
        due_s += step_s * ratios
        var_due += step_s * (cov + cov + by_ratio) + wanders[rank]
        cov += by_ratio
        var_ratio += tempos[rank]
        if rank in begins or not (note.believed or note.left):
            due_s[:], var_due[:], cov[:] = note.at_s, noises[rank], 0.0
        elif note.believed:
            off_s, variance = note.at_s - due_s, var_due + noises[rank]
            gain, ratio_gain = var_due / variance, cov / variance
            due_s += gain * off_s
            ratios += ratio_gain * off_s
            var_ratio -= ratio_gain * cov
            var_due -= gain * var_due
            cov -= gain * cov
            offs_s.append(off_s)
            variances.append(variance)
    if not offs_s:
        return USUAL_TEMPO_WANDER
    each = np.array(variances)
    surprise = (np.minimum(np.array(offs_s) ** 2 / each, MOST_SURPRISE) + np.log(each)).sum(axis=0)
    weights = np.exp(0.5 * (surprise.min() - surprise))
    return math.sqrt(float(weights @ by_tempo / weights.sum()))
