"""The referee of the difficulty: the chance of a foreign note by trial, from one random start."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from fingering.crossings.difficulty import GOOD_SPREAD_MS
from fingering.crossings.passing import foreign_flags
from fingering.crossings.timing import AUDIBLE_MS
from fingering.crossings.transition import Transition

TRIALS = 20_000
RANDOM_START = 1


@dataclass(frozen=True, slots=True)
class Estimate:
    """A chance found by trial, and its standard error."""

    chance: float
    error: float


def tried_difficulty(transition: Transition, *, spread_ms: float = GOOD_SPREAD_MS) -> Estimate:
    """The share of trials in which a foreign note is heard. spread_ms: standard deviation of each finger's time."""
    draws = np.random.default_rng(RANDOM_START).normal(0.0, spread_ms, (TRIALS, len(transition.movers)))
    order = np.argsort(draws, axis=1)
    gaps_ms = np.diff(np.take_along_axis(draws, order, axis=1), axis=1)
    moved = np.cumsum(1 << order, axis=1)
    foreign = np.array(foreign_flags(transition))[moved]
    run_ms = np.zeros(TRIALS)
    longest_ms = np.zeros(TRIALS)
    for place in range(gaps_ms.shape[1]):
        run_ms = np.where(foreign[:, place], run_ms + gaps_ms[:, place], 0.0)
        longest_ms = np.maximum(longest_ms, run_ms)
    chance = float(np.mean(longest_ms >= AUDIBLE_MS))
    # Where no trial was heard, or every one, the chance is still not known better than to one in all the trials.
    return Estimate(chance, max(math.sqrt(chance * (1.0 - chance) / TRIALS), 1.0 / TRIALS))
