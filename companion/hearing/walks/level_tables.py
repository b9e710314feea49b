"""What frames cost as pitches over a ground that stays as it is, by tables of what each looks like at each level."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.hearing.likeness import (
    FREEDOM,
    GAIN_RANGE_DB,
    LEVEL_SEEN_NATS,
    Workspace,
    cost_of_logs,
    level_cost,
    level_weights,
    of_each,
    over_bins,
    variances,
)
from companion.hearing.spectra import Floats
from companion.hearing.voice import DECIBELS, Templates

LEVEL_STEP_DB = 0.5
"""How finely levels are told apart: a level is but a guess, by some tenths of a dB."""


class LevelTables:
    """Tells what frames cost as pitches (as `near_costs.PairCosts`) where no room echoes: as `likeness.pitch_costs`,
    but for what pitches look like at the nearest level that is in the tables.

    powers: shape (frames, bins). ground: what sounds all the time, shape (bins,).
    """

    def __init__(self, powers: Floats, ground: Floats, templates: Templates, own_db: float) -> None:
        self._seen = np.log(np.maximum(powers, np.float32(0.1) * ground))
        self._work = Workspace()
        own, variance = templates.powers, templates.pitch_variance
        self._weights = level_weights(own, variance, ground, np.empty_like(own))
        self._expected = np.log(own + ground)
        self._scale = np.float32(DECIBELS) / (self._weights.sum(axis=1) + np.float32(1e-3))
        lowest, highest = GAIN_RANGE_DB
        levels = round((highest - lowest) / LEVEL_STEP_DB) + 1
        gains = np.linspace(lowest, highest, levels, dtype=np.float32)
        looks = own[:, np.newaxis] * np.exp(gains / np.float32(DECIBELS))[:, np.newaxis]
        strays = variances(np.zeros(1, np.float32), looks, ground, ground, self._work)
        strays += np.float32(FREEDOM) * (np.float32(own_db**2) + variance[:, np.newaxis])
        self._firsts = np.arange(len(own)) * levels
        # In nats instead of dB, as what is seen.
        bins = len(ground)
        self._looks = (looks / np.float32(-DECIBELS)).reshape(-1, bins)
        self._strays = (strays / np.float32(DECIBELS**2)).reshape(-1, bins)
        self._stray_logs = over_bins(np.log(self._strays))
        self._in_db = np.float32(2.0 * np.log(DECIBELS) * bins)

    def __call__(self, frames: NDArray[np.intp], pitches: NDArray[np.intp] | slice) -> Floats:
        """See `near_costs.PairCosts`."""
        seen = self._seen[frames][:, np.newaxis]
        gain = self._level_db(seen, pitches)
        lowest, _ = GAIN_RANGE_DB
        ranks = np.rint((gain - np.float32(lowest)) * np.float32(1.0 / LEVEL_STEP_DB)).astype(np.intp)
        ranks += self._firsts if isinstance(pitches, slice) else self._firsts[pitches][:, np.newaxis]
        shape = (*ranks.shape, seen.shape[-1])
        # What is out of range there is none: to clip it spares a copy.
        away = self._looks.take(ranks, axis=0, out=self._work.array(0, shape), mode="clip")
        np.subtract(seen, away, out=away)
        np.square(away, out=away)
        away += self._strays.take(ranks, axis=0, out=self._work.array(1, shape), mode="clip")
        strayed, variance = over_bins(np.log(away, out=away)), self._stray_logs[ranks]
        return cost_of_logs(strayed + self._in_db, variance + self._in_db, shape[-1]) + level_cost(gain)

    def _level_db(self, seen: Floats, pitches: NDArray[np.intp] | slice) -> Floats:
        """As that of `likeness.pitch_costs`: shape (frames, pitches)."""
        expected, weights = (of_each(each, pitches) for each in (self._expected, self._weights))
        shape = np.broadcast_shapes(seen.shape, expected.shape)
        away = np.subtract(seen, expected, out=self._work.array(0, shape))
        np.clip(away, *LEVEL_SEEN_NATS, out=away)
        sums = np.einsum("fpb,fpb->fp", away, np.broadcast_to(weights, shape))
        scale = self._scale if isinstance(pitches, slice) else self._scale[pitches][:, np.newaxis]
        lowest, highest = GAIN_RANGE_DB
        return np.asarray(np.clip(scale * sums, np.float32(lowest), np.float32(highest)), np.float32)
