"""What frames cost by tables of levels, beside what they cost at any level."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.likeness import ALL
from companion.hearing.spectra import Floats, Thinner, power_spectra
from companion.hearing.voice import templates_of
from companion.hearing.walks.level_tables import LevelTables
from companion.hearing.walks.walk import frame_costs, frame_costs_by_tables
from tests.companion.hearing.live.made import recording, voice
from tests.hearing.recording import RATE_HZ

MOST_OFF_NATS, MOSTLY_OFF_NATS = 0.25, 0.03
"""A change of note costs 8 (`walks.walk.CHANGE_COST`): a choice."""


@pytest.fixture(name="powers", scope="module")
def seen() -> Floats:
    """Two seconds of a chanter."""
    return power_spectra(Thinner(RATE_HZ).thin(recording().samples[: 2 * RATE_HZ]), voice().grid)


def test_costs_by_tables_are_nearly_those_at_any_level(powers: Floats) -> None:
    """The same pitch is the likeliest, and what is near it costs as much to a small part of what a change costs."""
    learnt = voice()
    templates = templates_of(learnt.voice, learnt.grid)
    told, exact = (tell(powers, learnt, templates) for tell in (frame_costs_by_tables, frame_costs))
    near = exact < exact.min(axis=1, keepdims=True) + 10.0
    off = np.abs(told - exact)[near]
    assert off.max() < MOST_OFF_NATS
    assert off.mean() < MOSTLY_OFF_NATS
    clear = np.partition(exact, 1, axis=1)[:, :2]
    sure = clear[:, 1] - clear[:, 0] > 2.0 * MOST_OFF_NATS
    assert sure.mean() > 0.9
    assert np.array_equal(told[sure].argmin(axis=1), exact[sure].argmin(axis=1))


def test_each_frame_as_a_pitch_of_its_own_costs_what_it_does_among_all(powers: Floats) -> None:
    """In any order and number."""
    learnt = voice()
    costs = LevelTables(powers, learnt.ground, templates_of(learnt.voice, learnt.grid), learnt.own_db)
    frames = np.array([7, 300, 7, 41, 500])
    pitches = np.array([0, 8, 3, len(learnt.voice.pitches) - 1, 5])
    alone = costs(frames, pitches)
    assert alone.shape == (5, 1)
    np.testing.assert_allclose(alone[:, 0], costs(frames, ALL)[np.arange(5), pitches], rtol=1e-4, atol=1e-3)
