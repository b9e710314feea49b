"""Quantiles by column and means of frames in a row, held against the plain ways to them."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.background import smoothed
from companion.hearing.intake.quantiles import column_quantiles

pytestmark = pytest.mark.same_everywhere

SHARES = ((0.16, 0.5, 0.84), (0.1,), (0.0, 1.0), (0.9, 0.1, 0.11))


@pytest.mark.parametrize("shares", SHARES)
@pytest.mark.parametrize("count", [1, 2, 3, 7, 101, 400])
def test_quantiles_are_those_of_numpy(count: int, shares: tuple[float, ...]) -> None:
    """To the last bit, with values that come twice, and what is asked about stays as it is."""
    rows = np.random.default_rng(count).normal(size=(count, 9)).astype(np.float32)
    rows[count // 2] = rows[0]
    before = rows.copy()
    assert np.array_equal(column_quantiles(rows, shares), np.quantile(rows, shares, axis=0))
    assert np.array_equal(rows, before)


@pytest.mark.parametrize(("frames", "every"), [(40, 8), (10, 2), (40, 7), (1, 1), (300, 8)])
def test_means_of_frames_in_a_row(frames: int, every: int) -> None:
    """Are those of every so manieth frame and what follows it; of fewer frames than asked for, of all there are."""
    powers = np.random.default_rng(frames).exponential(size=(203, 5)).astype(np.float32)
    length = min(frames, len(powers))
    plain = [powers[first : first + length].mean(axis=0) for first in range(0, len(powers) - length + 1, every)]
    assert smoothed(powers, frames, every) == pytest.approx(np.array(plain), rel=1e-5)
