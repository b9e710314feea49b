"""Thinning and short spectra, held against what is known of sines."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.spectra import FrameGrid, Thinner, lobe, power_spectra


@pytest.mark.parametrize("rate_hz", [8_000, 16_000, 22_050, 44_100, 48_000, 96_000])
def test_a_thinned_sine_is_that_sine(rate_hz: int) -> None:
    """In blocks of any size, and not moved in time."""
    sine = np.sin(2.0 * np.pi * 1_000.0 * np.arange(rate_hz) / rate_hz).astype(np.float32)
    thinner = Thinner(rate_hz)
    parts = [thinner.thin(sine[at : at + 777]) for at in range(0, len(sine), 777)]
    thin = np.concatenate([*parts, thinner.rest()])
    expected = np.sin(2.0 * np.pi * 1_000.0 * np.arange(len(thin)) / thinner.rate_hz)
    assert 8_000 <= thinner.rate_hz <= 22_050
    assert np.abs(thin - expected)[200:-200].max() < 1e-3


def test_what_lies_above_half_the_rate_is_not_folded_in() -> None:
    """13 kHz, at 48 kHz, would come back at 3 kHz."""
    sine = np.sin(2.0 * np.pi * 13_000.0 * np.arange(48_000) / 48_000).astype(np.float32)
    thinner = Thinner(48_000)
    assert np.abs(thinner.thin(sine)[100:]).max() < 1e-3


def test_a_sine_fills_the_bins_about_it_as_its_window_does() -> None:
    """A sine of amplitude 1 at any pitch has the power of the Hann window's lobe in each bin."""
    grid = FrameGrid.of(16_000.0)
    sine = np.sin(2.0 * np.pi * 1_013.0 * np.arange(1_600) / 16_000.0).astype(np.float32)
    powers = power_spectra(sine, grid)
    expected = lobe(grid.bins_hz - np.float32(1_013.0), grid)
    near = np.abs(grid.bins_hz - 1_013.0) < 90.0
    assert powers[:, near].mean(axis=0) == pytest.approx(expected[near], rel=0.02)
    assert len(powers) == grid.frames_in(1_600)
