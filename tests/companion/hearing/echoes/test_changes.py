"""Where spectra change, on sounds made here: two notes in a room of noise that fades."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.echoes.changes import (
    AGO_FRAMES,
    BESIDE_FRAMES,
    MOST_NATS,
    change_costs_at,
    going_on_costs,
)
from companion.hearing.heard import LEAST_CHANGE_NATS
from companion.hearing.spectra import Floats, FrameGrid, power_spectra

pytestmark = pytest.mark.same_everywhere

RATE_HZ = 15_000.0
GRID = FrameGrid.of(RATE_HZ)
CHANGE_S, LENGTH_S = 0.4, 0.8


def tone(hz: float, seconds: float) -> Floats:
    """Ten harmonics, each weaker than the last."""
    times = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    ranks = np.arange(1, 11)[:, np.newaxis]
    return np.asarray((np.sin(2.0 * np.pi * hz * ranks * times) / ranks).sum(axis=0), np.float32)


def in_room(dry: Floats, rt60_s: float = 0.4) -> Floats:
    """A sound with an echo as loud as itself: noise that fades by 60 dB in that time."""
    random = np.random.default_rng(1)
    times = np.arange(round(rt60_s * RATE_HZ)) / RATE_HZ
    tail = random.standard_normal(len(times)) * 10.0 ** (-3.0 * times / rt60_s)
    response = tail / np.sqrt(np.sum(tail**2))
    response[0] += 1.0
    return np.convolve(dry, response)[: len(dry)].astype(np.float32)


@pytest.fixture(scope="module")
def powers() -> Floats:
    """Two notes a third apart in a room, the second from CHANGE_S on."""
    dry = np.concatenate((tone(480.0, CHANGE_S), tone(600.0, LENGTH_S - CHANGE_S)))
    return power_spectra(in_room(dry), GRID)


GROUND = np.full(len(GRID.bins_hz), 1e-6, np.float32)


def frame(at_s: float) -> int:
    """The frame whose middle is nearest to a time."""
    return round((at_s * RATE_HZ - 0.5 * GRID.window) / GRID.hop)


def test_a_change_costs_least_where_one_note_gives_way_to_the_next(powers: Floats) -> None:
    """To within 5 ms, and for 40 ms at most."""
    costs = change_costs_at(powers, GROUND)
    middle = slice(frame(0.15), frame(LENGTH_S - 0.1))
    cheap = np.flatnonzero(costs[middle] == LEAST_CHANGE_NATS) + middle.start
    assert abs(float(cheap.mean()) - frame(CHANGE_S)) <= 2.0
    assert len(cheap) < 16


def test_in_a_note_that_goes_on_a_change_costs_most(powers: Floats) -> None:
    """A tenth of a second after it began, when its echo has come up."""
    costs = change_costs_at(powers, GROUND)
    assert costs[frame(0.2) : frame(CHANGE_S - 0.02)].min() == MOST_NATS
    assert costs[frame(CHANGE_S + 0.15) : frame(LENGTH_S - 0.05)].min() > 0.5 * MOST_NATS


def test_nothing_is_said_of_the_ends(powers: Floats) -> None:
    """Where there is nothing before or after to look at, a change costs as much as anywhere."""
    costs = change_costs_at(powers, GROUND)
    assert not costs[:BESIDE_FRAMES].any()
    assert not costs[-BESIDE_FRAMES:].any()
    assert not change_costs_at(powers[:BESIDE_FRAMES], GROUND).any()


def test_what_goes_on_is_like_what_was_and_what_changed_is_not(powers: Floats) -> None:
    """By far: another note's lines stand where there was next to nothing."""
    costs = going_on_costs(powers, GROUND)
    steady = costs[frame(0.25) : frame(CHANGE_S - 0.02)]
    assert steady.max() + 20.0 < costs[frame(CHANGE_S + 0.015)]
    assert np.isinf(costs[: max(AGO_FRAMES)]).all()
    assert np.isinf(going_on_costs(powers[:5], GROUND)).all()


def test_a_ground_by_frame_says_the_same(powers: Floats) -> None:
    """A ground that is the same in all frames is one for all."""
    by_frame = np.broadcast_to(GROUND, powers.shape)
    np.testing.assert_array_equal(change_costs_at(powers, GROUND), change_costs_at(powers, by_frame))
    np.testing.assert_allclose(going_on_costs(powers, GROUND), going_on_costs(powers, by_frame), rtol=1e-5)
