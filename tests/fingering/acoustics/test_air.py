"""Losses in a narrow tube against the exact functions."""

from __future__ import annotations

import numpy as np
import pytest

from fingering.acoustics.air import boundary_layer, dry_air, tube
from fingering.acoustics.calibrate import LOW_A_HZ
from fingering.acoustics.sounding import reference_chanter
from fingering.notes import TUNINGS, Note, Tuning
from tests.referees import require_module


@pytest.mark.parametrize("temperature_c", [0.0, 20.0, 35.0])
def test_dry_air_is_as_the_standard_atmosphere_has_it(temperature_c: float) -> None:
    """U.S. Standard Atmosphere 1976 (from memory): a perfect gas of 28.9644 kg/kmol with R = 8314.32 J/kmol/K and gamma
    1.4 at 101,325 Pa, and Sutherland's law. At 20 C: 1.204 kg/m3, 343.2 m/s, 1.813e-5 Pa s.
    """
    air, kelvin = dry_air(temperature_c), 273.15 + temperature_c
    gas = 8314.32 / 28.9644
    assert air.density == pytest.approx(101_325.0 / (gas * kelvin), rel=1e-3)
    assert air.sound_speed == pytest.approx((1.4 * gas * kelvin) ** 0.5, rel=1e-3)
    assert air.viscosity == pytest.approx(1.458e-6 * kelvin**1.5 / (kelvin + 110.4), rel=6e-3)


@pytest.mark.parametrize(("least", "error"), [(10.0, 1e-6), (15.0, 1e-7)])
def test_the_asymptotic_series_is_as_good_as_it_says(least: float, error: float) -> None:
    """scipy's Bessel functions as referee: 2 J1(z) / (z J0(z)) from so many boundary layers on."""
    special = require_module("scipy.special")
    stokes = np.geomspace(least, 100.0, 50)
    z = stokes * np.exp(-0.25j * np.pi)
    exact = 2.0 * special.jv(1, z) / (z * special.jv(0, z))
    assert error / 10.0 < np.max(np.abs(boundary_layer(stokes) - exact)) < error


@pytest.mark.parametrize("tuning", TUNINGS, ids=lambda tuning: tuning.name)
def test_the_narrowest_hole_is_ten_boundary_layers_wide(tuning: Tuning) -> None:
    """At low G, where the series is used at its worst, for what its wall does to the motion and to the heat."""
    air = dry_air()
    omega = 2.0 * np.pi * LOW_A_HZ * tuning.ratio(Note.LOW_G)
    radius_m = min(hole.diameter_mm for hole in reference_chanter(tuning).holes) / 2000.0
    for lost in (air.viscosity, air.conductivity / air.heat_capacity):
        assert radius_m * np.sqrt(omega * air.density / lost) > 10.0


def test_a_narrow_tube_slows_and_damps_a_wave() -> None:
    """The wave is slower than in the open, by a few per cent, and dies along the way."""
    air = dry_air()
    omega = np.array([2.0 * np.pi * 237.0])
    propagation = tube(2.4e-3, omega, air).propagation
    assert 0.93 < omega[0] / propagation.imag[0] / air.sound_speed < 0.99
    assert propagation.real[0] > 0.0
