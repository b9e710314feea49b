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


def fitted_tempo_wander(runs: Sequence[Sequence[Followed]], ratio: float, ratio_spread: float) -> float:
    """Return how much tempo wanders in one second of the tune, as a share: what makes the notes likeliest, weighed.

    runs: notes in a row that have to do with each other; from run to run only the tempo goes on. ratio: seconds played
    for each asked one at the beginning, known to the share `ratio_spread`.
    """
    if sum(map(len, runs)) < FEWEST_NOTES:
        return USUAL_TEMPO_WANDER
    tried = np.meshgrid(TEMPO_WANDERS, PULSE_WANDERS, TIMES_STRAYED, indexing="ij")
    by_tempo, by_pulse, strays = (each.ravel() ** 2 for each in tried)
    by_pulse *= strays
    surprise = np.zeros(by_tempo.shape)
    ratios, var_ratio = np.full_like(by_tempo, ratio), np.full_like(by_tempo, (ratio_spread * ratio) ** 2)
    for run in runs:
        due_s, var_due, cov = np.zeros_like(ratios), np.zeros_like(ratios), np.zeros_like(ratios)
        for rank, (step_s, at_s, own, unsure, even, believed, left) in enumerate(run):
            noise = strays * own + unsure
            due_s = due_s + ratios * step_s
            var_due = var_due + 2.0 * step_s * cov + step_s**2 * var_ratio + by_pulse * even
            cov = cov + step_s * var_ratio
            var_ratio = var_ratio + by_tempo * ratios**2 * max(step_s, 0.0)
            if believed and rank:
                off_s, variance = at_s - due_s, var_due + noise
                surprise += np.minimum(off_s**2 / variance, MOST_SURPRISE) + np.log(variance)
                gain, ratio_gain = var_due / variance, cov / variance
                due_s, ratios = due_s + gain * off_s, ratios + ratio_gain * off_s
                var_ratio, var_due, cov = var_ratio - ratio_gain * cov, var_due - gain * var_due, cov - gain * cov
            elif not left or not rank:
                due_s, var_due, cov = np.full_like(ratios, at_s), noise, np.zeros_like(ratios)
    weights = np.exp(0.5 * (surprise.min() - surprise))
    return math.sqrt(float(weights @ by_tempo / weights.sum()))
