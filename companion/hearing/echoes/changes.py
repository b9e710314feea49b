"""Finds where a sound changes, by its spectra alone: a note begins at once, an echo fades. Pure functions.

In a room every spectrum is two notes' for 60 ms, but from 10 ms before to 10 ms after a new note its bins change by 8
dB in the mean, in echoes by 4, of a note that goes on by less than 1 (practice voice, our rooms; the least hundredth of
changes is 5 dB, the greatest of echoes 7).
"""

from __future__ import annotations

import numpy as np

from companion.hearing.heard import LEAST_CHANGE_NATS
from companion.hearing.likeness import FREEDOM, NOISE_VARIANCE_DB, student_cost
from companion.hearing.spectra import Floats
from companion.hearing.voice import DECIBELS

BESIDE_FRAMES = 4
"""10 ms: what lies so far before and after a moment has half of a window in common."""

CLEAR, LOUD = 10.0, 1e-3
"""Bins are looked at that stand so far above the ground, and no further below the loudest than 30 dB."""

MOST_DB = 15.0
CHANGE_DB = 5.5
CHANGE_NATS = 3.0
MOST_NATS = 12.0
"""A change of note costs as much as anywhere if bins change by CHANGE_DB, for each dB less or more CHANGE_NATS more or
less, between LEAST_CHANGE_NATS and MOST_NATS. By trial."""

AGO_FRAMES = (8, 16, 24)
"""20 to 60 ms: windows that lie so far apart have nothing in common, and no gracenote lasts for all of that."""

GOES_ON_DB2 = 8.0
"""The variance, in dB squared, of a bin of a note that goes on, after that time."""


def change_costs_at(powers: Floats, ground: Floats) -> Floats:
    """The cost of changing notes at each frame beside what it costs anywhere: nats, shape (frames,).

    powers: shape (frames, bins). ground: shape (bins,) or (frames, bins). The first and last BESIDE_FRAMES cost 0.
    """
    out = np.zeros(len(powers), np.float32)
    span = 2 * BESIDE_FRAMES
    if len(powers) <= span:
        return out
    beside = ground if ground.ndim == 1 else ground[BESIDE_FRAMES:-BESIDE_FRAMES]
    before, after = powers[:-span], powers[span:]
    louder = np.maximum(before, after)
    seen = (louder > CLEAR * beside) & (louder > LOUD * louder.max(axis=1, keepdims=True))
    change_db = np.abs(np.float32(DECIBELS) * np.log(np.maximum(after, beside) / np.maximum(before, beside)))
    mean_db = (np.minimum(change_db, MOST_DB) * seen).sum(axis=1) / np.maximum(seen.sum(axis=1), 1)
    out[BESIDE_FRAMES:-BESIDE_FRAMES] = np.clip(CHANGE_NATS * (CHANGE_DB - mean_db), LEAST_CHANGE_NATS, MOST_NATS)
    return out


def going_on_costs(powers: Floats, ground: Floats) -> Floats:
    """The cost of each frame as what sounded 20, 40 and 60 ms before, going on, whichever it is least like: shape
    (frames,), to be held against `costs_of`.

    Arguments as for `change_costs_at`. Of the first 60 ms it is not known: infinite.
    """
    out = np.full(len(powers), np.inf, np.float32)
    most = max(AGO_FRAMES)
    if len(powers) <= most:
        return out
    beside = ground if ground.ndim == 1 else ground[most:]
    seen = powers[most:]
    seen_db = _decibels(seen, beside)
    # Where the ground is one for all frames, each frame's decibels are asked for but once.
    all_db = np.concatenate((_decibels(powers[:most], beside), seen_db)) if ground.ndim == 1 else None
    costs = np.zeros(len(seen), np.float32)
    away_db, unknown = np.empty_like(seen_db), np.empty_like(seen_db)
    for ago in AGO_FRAMES:
        before = powers[most - ago : -ago]
        before_db = _decibels(before, beside) if all_db is None else all_db[most - ago : -ago]
        np.subtract(seen_db, before_db, out=away_db)
        np.maximum(seen, before, out=unknown)
        np.maximum(unknown, beside, out=unknown)
        np.divide(np.float32(FREEDOM * 2.0 * NOISE_VARIANCE_DB) * beside, unknown, out=unknown)
        unknown += np.float32(FREEDOM * GOES_ON_DB2)
        np.maximum(costs, student_cost(away_db, unknown), out=costs)
    out[most:] = costs
    return out


def _decibels(powers: Floats, beside: Floats) -> Floats:
    """The level of each bin, of none less than 10 dB below the ground."""
    seen = np.maximum(powers, np.float32(0.1) * beside)
    np.log(seen, out=seen)
    seen *= np.float32(DECIBELS)
    return np.asarray(seen)
