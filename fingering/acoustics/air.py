"""Air as a medium for sound in a narrow tube, with the losses at the tube's wall."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Complexes = NDArray[np.complexfloating]
Floats = NDArray[np.float64]

CELSIUS_ZERO_K = 273.15
CALORIE_J = 4.184


@dataclass(frozen=True, slots=True)
class Air:
    """Dry air: density in kg/m3, speed of sound in m/s, viscosity in Pa s.

    conductivity: of heat, in W/m/K. heat_capacity: at constant pressure, in J/kg/K. gamma: ratio of the specific heats.
    """

    density: float
    sound_speed: float
    viscosity: float
    conductivity: float
    heat_capacity: float
    gamma: float


def dry_air(temperature_c: float = 25.0) -> Air:
    """The properties of dry air at `temperature_c` (°C).

    Source: Chaigne & Kergomard 2016, Acoustics of Musical Instruments, ch. 5.
    """
    kelvin = CELSIUS_ZERO_K + temperature_c
    return Air(
        density=1.2929 * CELSIUS_ZERO_K / kelvin,
        sound_speed=331.45 * (kelvin / CELSIUS_ZERO_K) ** 0.5,
        viscosity=1.708e-5 * (1.0 + 0.0029 * temperature_c),
        conductivity=5.77e-3 * CALORIE_J * (1.0 + 0.0033 * temperature_c),
        heat_capacity=240.0 * CALORIE_J,
        gamma=1.402,
    )


@dataclass(frozen=True, slots=True)
class Tube:
    """The wave properties of a tube, by frequency: characteristic impedance (Pa s/m3), propagation constant (1/m)."""

    impedance: Complexes
    propagation: Complexes

    def ending_in(self, load: Complexes, length_m: float) -> Complexes:
        """The impedance seen at one end of `length_m` of this tube when `load` ends the other."""
        tanh = np.tanh(self.propagation * length_m)
        seen: Complexes = self.impedance * (load + self.impedance * tanh) / (self.impedance + load * tanh)
        return seen

    def closed(self, length_m: float) -> Complexes:
        """The impedance seen at one end of `length_m` of this tube when the other is shut."""
        shut: Complexes = self.impedance / np.tanh(self.propagation * length_m)
        return shut


def tube(radius_m: Floats | float, omega: Floats, air: Air) -> Tube:
    """The wave properties of a round tube with viscous and thermal losses at its wall.

    omega: angular frequencies (rad/s), broadcast against `radius_m`. Source: Zwikker & Kosten 1949, Keefe 1984.
    """
    area = np.pi * np.square(radius_m)
    viscous = boundary_layer(radius_m * np.sqrt(omega * air.density / air.viscosity))
    thermal = boundary_layer(radius_m * np.sqrt(omega * air.density * air.heat_capacity / air.conductivity))
    series = 1j * omega * air.density / area / (1.0 - viscous)
    shunt = 1j * omega * area / (air.density * air.sound_speed**2) * (1.0 + (air.gamma - 1.0) * thermal)
    return Tube(np.sqrt(series / shunt), np.sqrt(series * shunt))


def boundary_layer(stokes: Floats) -> Complexes:
    """The loss function J(s) = 2 J1(z) / (z J0(z)) with z = s sqrt(-j), of a wave in a narrow tube.

    It is the share of a cross-section that friction at the wall holds back. stokes: s, the radius divided by the
    thickness of the boundary layer. It is above 10 in every hole and bore that the model meets. The asymptotic series
    of J1/J0 (Abramowitz & Stegun 9.2.5) is good to 1e-6 from there on, and to 1e-7 from 15 on.
    """
    z = stokes * np.exp(-0.25j * np.pi)
    ratio = -1j + 1 / (2 * z) - 1j / (8 * z**2) - 1 / (8 * z**3) + 25j / (128 * z**4)
    share: Complexes = 2.0 * ratio / z
    return share
