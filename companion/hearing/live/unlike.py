"""How unlikely a moment is, were it a sound that is no chanter's: talk, a knock, rustling. Pure functions."""

from __future__ import annotations

import numpy as np

from companion.hearing.likeness import FREEDOM, TEMPER
from companion.hearing.spectra import Floats
from companion.hearing.voice import DECIBELS

SMOOTHED_BINS = 11
"""550 Hz: over so many bins of 50 Hz any sound's spectrum is smooth but a chanter's, whose harmonics lie further apart
than those of talk."""

STRAY_DB = 8.0
"""By how much a bin of any sound may stray from its smooth spectrum."""

UNLIKE_COST = 8.0
UNSEEN_COST = 8.0
"""What each frame costs besides, and what more where it is likest to a pitch that was never heard for long: known by
what is expected of it alone, that costs some 5 to 12 more than this sound that nothing is known of. Talk costs 20 to 40
more (by trial)."""


def unlike_costs(powers: Floats, ground: Floats) -> Floats:
    """The cost of each frame as a sound that nothing is known of, shape (frames,), to be held against `costs_of`.

    powers: shape (frames, bins). ground: what sounds beside, shape (bins,) or (frames, bins).
    """
    seen_db = np.float32(DECIBELS) * np.log(np.maximum(powers, np.float32(0.1) * ground))
    half = SMOOTHED_BINS // 2
    padded = np.pad(seen_db, ((0, 0), (half + 1, half)), mode="edge")
    sums = np.cumsum(padded, axis=1, dtype=np.float64)
    smooth = (sums[:, SMOOTHED_BINS:] - sums[:, :-SMOOTHED_BINS]) / SMOOTHED_BINS
    away = seen_db - smooth.astype(np.float32)
    strayed = np.float32(0.5 * (FREEDOM + 1.0)) * np.log(1.0 + away**2 / np.float32(FREEDOM * STRAY_DB**2))
    tempered = np.float32(TEMPER) * (strayed + np.float32(np.log(STRAY_DB))).sum(axis=1)
    return np.asarray(tempered + np.float32(UNLIKE_COST), np.float32)
