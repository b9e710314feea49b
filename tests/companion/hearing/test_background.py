"""What sounds beside a chanter, held against noise of a known power."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.background import background, beside_notes, without_lines
from companion.hearing.path import HeardStretch

HOP_S = 0.0025
BINS = 60

pytestmark = pytest.mark.same_everywhere


def noisy_note() -> tuple[np.ndarray, np.ndarray]:
    """Four seconds of noise that comes and goes, 1 on the mean where it sounds, under a note in bins 10 to 12."""
    random = np.random.default_rng(31)
    powers = random.exponential(1.0, (1_600, BINS)).astype(np.float32)
    powers[(np.arange(1_600) // 100) % 2 == 0] *= 0.05
    powers[:, 10:13] += 100.0
    template = np.full((1, BINS), 1e-7, np.float32)
    template[0, 10:13] = 100.0
    return powers, template


def test_noise_that_comes_and_goes_is_heard_between_a_notes_harmonics() -> None:
    """Its quietest tenth, which is background, is less than half of what it is on the mean of its decibels."""
    powers, template = noisy_note()
    ground = background(powers, HOP_S)
    beside = beside_notes([powers], [[HeardStretch(0, 0, len(powers))]], template, ground, HOP_S)
    between = np.r_[0:8, 16:BINS]
    assert np.median(beside[between]) > 2.0 * np.median(ground[between])
    assert (beside[10:13] == ground[10:13]).all()


def test_steady_noise_is_heard_at_its_power() -> None:
    """Within a tenth, over 4 s."""
    powers = np.random.default_rng(31).exponential(1.0, (1_600, BINS)).astype(np.float32)
    template = np.full((1, BINS), 1e-7, np.float32)
    ground = np.full(BINS, 0.01, np.float32)
    beside = beside_notes([powers], [[HeardStretch(0, 0, len(powers))]], template, ground, HOP_S)
    assert np.median(beside) == pytest.approx(1.0, rel=0.1)


def test_what_was_hardly_seen_stays_as_it_was() -> None:
    """A note of 0.3 s has 0.24 s between its edges, which is too little."""
    powers, template = noisy_note()
    ground = np.ones(BINS, np.float32)
    assert (beside_notes([powers], [[HeardStretch(0, 0, 120)]], template, ground, HOP_S) == ground).all()


def test_a_note_that_sounds_nearly_always_is_no_noise() -> None:
    """Its harmonic of four bins goes; a step of the noise stays."""
    ground = np.ones(BINS, np.float32)
    ground[30:] = 5.0
    expected = ground.copy()
    ground[10:14] = 100.0
    assert without_lines(ground).tolist() == expected.tolist()
