"""Losses in a narrow tube against the exact functions."""

from __future__ import annotations

import numpy as np
import pytest

from fingering.acoustics.air import boundary_layer, dry_air, tube
from tests.referees import require_module


def test_dry_air_is_what_the_book_says() -> None:
    """Chaigne & Kergomard 2016, ch. 5, at 20 C: 1.204 kg/m3, 343.4 m/s, 1.81e-5 Pa s (from memory)."""
    air = dry_air(20.0)
    assert air.density == pytest.approx(1.2047, abs=5e-4)
    assert air.sound_speed == pytest.approx(343.37, abs=0.05)
    assert air.viscosity == pytest.approx(1.807e-5, rel=1e-3)


def test_the_asymptotic_series_is_good_from_ten_boundary_layers() -> None:
    """scipy's Bessel functions as referee: 2 J1(z) / (z J0(z)) to 1e-6."""
    special = require_module("scipy.special")
    stokes = np.geomspace(10.0, 100.0, 50)
    z = stokes * np.exp(-0.25j * np.pi)
    exact = 2.0 * special.jv(1, z) / (z * special.jv(0, z))
    assert np.max(np.abs(boundary_layer(stokes) - exact)) < 1e-6


def test_the_narrowest_hole_is_ten_boundary_layers_wide() -> None:
    """A radius of 1.5 mm at low G, where the series is used at its worst."""
    air = dry_air()
    omega = 2.0 * np.pi * 200.0
    assert 1.4e-3 * np.sqrt(omega * air.density / air.viscosity) > 10.0


def test_a_narrow_tube_slows_and_damps_a_wave() -> None:
    """The wave is slower than in the open, by a few per cent, and dies along the way."""
    air = dry_air()
    omega = np.array([2.0 * np.pi * 237.0])
    propagation = tube(2.4e-3, omega, air).propagation
    assert 0.93 < omega[0] / propagation.imag[0] / air.sound_speed < 0.99
    assert propagation.real[0] > 0.0
