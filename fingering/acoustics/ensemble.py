"""Estimates how far the model's pitches can be trusted: by the same tuning on many chanters of other sizes."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import numpy as np

from fingering.acoustics.air import Floats
from fingering.acoustics.calibrate import SKETCH, calibrate
from fingering.acoustics.geometry import Chanter, ToneHole
from fingering.acoustics.ladder import Model, resonances
from fingering.chart import chart
from fingering.notes import Note, Tuning

# How makers' chanters may differ from the reference. A choice, no source: every member can still be fingered by a hand.
BORE_SPREAD_MM = 0.4
WALL_SPREAD_MM = 0.7
HOLE_SPREAD = 0.10
MEMBERS = 32
RANDOM_START = 8


@cache
def members(tuning: Tuning, count: int = MEMBERS) -> tuple[Chanter, ...]:
    """`count` chanters of other bores, walls and hole sizes, drawn uniformly around the reference and put in tune."""
    dice = random.Random(RANDOM_START)
    return tuple(calibrate(_varied(dice), tuning) for _ in range(count))


def _varied(dice: random.Random) -> Chanter:
    bore_mm = SKETCH.bore_mm + dice.uniform(-BORE_SPREAD_MM, BORE_SPREAD_MM)
    holes = tuple(
        # A hole as wide as the bore is the widest that can be drilled.
        ToneHole(min(bore_mm, hole.diameter_mm * (1.0 + dice.uniform(-HOLE_SPREAD, HOLE_SPREAD))), hole.position_mm)
        for hole in SKETCH.holes
    )
    wall_mm = SKETCH.wall_mm + dice.uniform(-WALL_SPREAD_MM, WALL_SPREAD_MM)
    return replace(SKETCH, bore_mm=bore_mm, wall_mm=wall_mm, holes=holes)


def cents_above_low_a(model: Model) -> Floats:
    """Pitch of all 256 states in cents above the chanter's own low A."""
    frequencies_hz = np.array(resonances(model).frequencies_hz)
    cents: Floats = 1200.0 * np.log2(frequencies_hz / frequencies_hz[chart(Note.LOW_A)])
    return cents


def uncertainties_cents(reference: Model, others: tuple[Chanter, ...]) -> Floats:
    """For each of the 256 states, the root mean square distance in cents from its pitch on the reference."""
    middle = cents_above_low_a(reference)
    offsets = np.array([cents_above_low_a(replace(reference, chanter=other)) - middle for other in others])
    spread: Floats = np.sqrt(np.mean(np.square(offsets), axis=0))
    return spread
