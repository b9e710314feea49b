"""The model agrees with openwind, an independent program, about nine notes and twenty other states."""

from __future__ import annotations

import random

import numpy as np
import pytest
from numpy.typing import NDArray

from fingering.acoustics.elements import SeriesTerm
from fingering.acoustics.ladder import Model, resonances
from fingering.acoustics.sounding import reference_chanter
from fingering.chart import chart
from fingering.holes import HoleState
from fingering.notes import TUNINGS, Note, Tuning
from tests.fingering.acoustics.openwind_referee import openwind_hz

pytestmark = pytest.mark.same_everywhere
NINE = [chart(note) for note in Note]
TWENTY = [HoleState(bits) for bits in random.Random(20).sample(sorted(set(range(256)) - set(NINE)), 20)]


def cents_apart(one_hz: tuple[float, ...], other_hz: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance in cents, state by state."""
    cents: NDArray[np.float64] = 1200.0 * np.log2(np.array(one_hz) / other_hz)
    return cents


@pytest.mark.parametrize("tuning", TUNINGS, ids=lambda tuning: tuning.name)
def test_with_equal_assumptions_both_find_the_same_pitch(tuning: Tuning) -> None:
    """Within 0.05 cents, with openwind's series term for the holes in the model, and the model's radiation in it."""
    model = Model(reference_chanter(tuning), series=SeriesTerm.DUBOS)
    found = resonances(model, NINE + TWENTY).frequencies_hz
    apart = cents_apart(found, openwind_hz(model.chanter, NINE + TWENTY, matched=True))
    assert np.max(np.abs(apart)) < 0.05


def test_the_models_own_assumptions_lie_near_openwinds_defaults() -> None:
    """Within 4 cents in the same air, and within 1.5 once the mean is taken off."""
    model = Model(reference_chanter())
    found = resonances(model, NINE + TWENTY).frequencies_hz
    apart = cents_apart(found, openwind_hz(model.chanter, NINE + TWENTY, matched=False))
    assert np.max(np.abs(apart)) < 4.0
    assert np.max(np.abs(apart - np.mean(apart))) < 1.5
    assert np.max(np.abs(apart)) > 0.05
