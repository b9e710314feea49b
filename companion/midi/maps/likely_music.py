"""A model of pipe music: how likely each note follows another, derived from gracing alone, no collection of tunes.

Between every two melody notes stands every embellishment of the catalogue that can be played there, weighted by how
common its family is. The weights are rough, from memory of the common repertory, no source: they need only tell pipe
music from the same tune read a note too high or too low.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from fingering.embellishments import Family, entries_onto
from fingering.notes import Note

OUTSIDE = len(Note)
"""The index that stands for any number outside a map, after the nine notes."""

_FAMILY_WEIGHTS = {
    Family.SINGLE: 40.0,
    Family.DOUBLING: 20.0,
    Family.HALF_DOUBLING: 6.0,
    Family.THUMB_DOUBLING: 3.0,
    Family.STRIKE: 4.0,
    Family.THROW: 8.0,
    Family.GRIP: 4.0,
    Family.TAORLUATH: 8.0,
    Family.CRUNLUATH: 2.0,
    Family.BIRL: 4.0,
}
_RARE_WEIGHT = 0.3  # each other family
_BARE_WEIGHT = 40.0
_BARE_REPEAT_WEIGHT = 0.0  # two equal notes cannot be told apart without a gracenote
_MELODY_WEIGHTS = (5.0, 18.0, 14.0, 13.0, 13.0, 16.0, 9.0, 5.0, 7.0)  # low G first
_STEP_FADES = 0.5  # of a melody's leaps: each further step is less likely by this in the exponent
_PREFERENCE = 0.5  # each further form of one family is half as common as the one before it
_OUTSIDE_SHARE = 0.004  # from any note to a number outside the map: a slip, or a drone as it starts
_LEAST_SHARE = 0.002  # from any note to any other

Transitions = NDArray[np.float64]


def graced() -> Transitions:
    """Log probability from each note (axis 0) to each next one (axis 1), OUTSIDE included, in music with gracenotes."""
    weights = np.zeros((len(Note), len(Note)))
    for before, onto, weight in _melody():
        for graces, share in _ways(before, onto):
            for first, second in pairwise((before, *graces, onto)):
                weights[first, second] += weight * share
    return _log_probabilities(weights)


def plain() -> Transitions:
    """Log probability from each note (axis 0) to each next one (axis 1), OUTSIDE included, without gracenotes."""
    weights = np.zeros((len(Note), len(Note)))
    for before, onto, weight in _melody():
        weights[before, onto] += weight if before is not onto else 0.0
    return _log_probabilities(weights)


def _melody() -> Iterator[tuple[Note, Note, float]]:
    """Yield every pair of melody notes with its weight."""
    for before, onto in product(Note, Note):
        nearness = math.exp(-_STEP_FADES * abs(onto - before))
        yield before, onto, _MELODY_WEIGHTS[before] * _MELODY_WEIGHTS[onto] * nearness


def _ways(before: Note, onto: Note) -> Iterator[tuple[Sequence[Note], float]]:
    """Yield the groups of gracenotes that may stand between two melody notes, each with its share; shares sum to 1."""
    weights: dict[tuple[Note, ...], float] = {(): _BARE_REPEAT_WEIGHT if before is onto else _BARE_WEIGHT}
    met: dict[Family, int] = {}
    for entry in entries_onto(onto):
        if entry.suits(before):
            family = entry.embellishment.family
            rank = met[family] = met.get(family, -1) + 1
            weight = _FAMILY_WEIGHTS.get(family, _RARE_WEIGHT) * (1 - _PREFERENCE) * _PREFERENCE**rank
            weights.setdefault(entry.embellishment.gracenotes, weight)
    total = sum(weights.values())
    return ((graces, weight / total) for graces, weight in weights.items())


def _log_probabilities(weights: Transitions) -> Transitions:
    """Normalise the rows, apply a floor, and add the row and column of OUTSIDE."""
    shares = weights / weights.sum(axis=1, keepdims=True) + _LEAST_SHARE
    padded = np.full((OUTSIDE + 1, OUTSIDE + 1), _OUTSIDE_SHARE)
    padded[:OUTSIDE, :OUTSIDE] = shares * (1.0 - _OUTSIDE_SHARE) / shares.sum(axis=1, keepdims=True)
    padded[OUTSIDE, :OUTSIDE] = (1.0 - _OUTSIDE_SHARE) / len(Note)
    logs: Transitions = np.log(padded)
    return logs
