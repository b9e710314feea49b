"""Circuit models of the parts of the bore: tone holes, open and closed, and the open foot."""

from __future__ import annotations

import enum
from dataclasses import dataclass

import numpy as np

from fingering.acoustics.air import Air, Complexes, Floats, Tube, tube
from fingering.acoustics.geometry import Chanter

# Low-frequency radiation of a pipe without a flange: end correction and resistance, Levine & Schwinger 1948. A chanter
# is thin beside the wavelength, so a hole in its side radiates with the same resistance whatever its flange.
UNFLANGED_END_CORRECTION = 0.6133
RADIATION_RESISTANCE = 0.25


class SeriesTerm(enum.Enum):
    """Published formulas for the series impedance of a tone hole: KEEFE is in use, DUBOS is there for comparison.

    Each goes with its own shunt: Keefe's circuit has Zs there, Dubos's Zs - Za/4.
    """

    KEEFE = "Keefe 1990, values of Dubos 1999 and Dalmont 2002"
    DUBOS = "Dubos et al. 1999, short chimney"


@dataclass(frozen=True, slots=True)
class HoleArms:
    """The T circuits of eight holes, open and closed, one row each, thumb first.

    Each circuit has a series impedance, both arms together, and a shunt impedance, in Pa s/m3.
    """

    series_open: Complexes
    series_closed: Complexes
    shunt_open: Complexes
    shunt_closed: Complexes


def radiation(radius_m: Floats | float, end_correction: Floats | float, omega: Floats, air: Air) -> Complexes:
    """Radiation impedance of an opening, as the Padé form of its low-frequency series: Levine & Schwinger 1948."""
    jka = 1j * omega / air.sound_speed * radius_m
    characteristic = air.density * air.sound_speed / (np.pi * np.square(radius_m))
    impedance: Complexes = (
        characteristic * jka / (1.0 / end_correction + jka * RADIATION_RESISTANCE / np.square(end_correction))
    )
    return impedance


def flanged_end_correction(hole_m: Floats, outer_m: float) -> Floats:
    """End correction of a hole in the side of a body of radius `outer_m`: Dalmont, Nederveen & Joly 2001."""
    correction: Floats = 0.8216 - 0.47 * (hole_m / outer_m) ** 0.8
    return correction


def inner_length(hole_m: Floats, bore_m: float) -> Floats:
    """The length (m) by which the flow into a hole lengthens the hole on its inner side, matching volume included.

    Source: Nederveen 1998, Dubos et al. 1999, Dalmont et al. 2002.
    """
    d = hole_m / bore_m
    inner = hole_m * (0.82 - 0.193 * d - 1.09 * d**2 + 1.27 * d**3 - 0.71 * d**4)
    length: Floats = inner + hole_m * d / 8.0 * (1.0 + 0.207 * d**3)
    return length


def hole_arms(chanter: Chanter, omega: Floats, air: Air, series: SeriesTerm) -> HoleArms:
    """The circuits of all eight holes at the angular frequencies `omega` (any shape; rows are holes, thumb first)."""
    column = (len(chanter.holes),) + (1,) * omega.ndim
    hole_m = np.array([hole.diameter_mm / 2000.0 for hole in chanter.holes]).reshape(column)
    bore_m, wall_m = chanter.bore_mm / 2000.0, chanter.wall_mm / 1000.0
    chimney = tube(hole_m, omega, air)
    outer = radiation(hole_m, flanged_end_correction(hole_m, bore_m + wall_m), omega, air)
    inner: Complexes = 1j * omega * air.density * inner_length(hole_m, bore_m) / (np.pi * hole_m**2)
    mass: Complexes = 1j * omega * air.density / (np.pi * bore_m**2)
    length_open, length_closed = _series_lengths(hole_m, bore_m, wall_m, series)
    series_open: Complexes = mass * length_open
    series_closed: Complexes = mass * length_closed
    share = 0.25 if series is SeriesTerm.DUBOS else 0.0
    return HoleArms(
        series_open,
        series_closed,
        inner + chimney.ending_in(outer, wall_m) - share * series_open,
        inner + chimney.closed(wall_m) - share * series_closed,
    )


def _series_lengths(hole_m: Floats, bore_m: float, wall_m: float, series: SeriesTerm) -> tuple[Floats, Floats]:
    """Lengths (m, negative) that an open and a closed hole add along the bore."""
    d = hole_m / bore_m
    if series is SeriesTerm.DUBOS:
        length = hole_m * (-0.37 + 0.087 * d) * d**2
        return length, length
    tanh = np.tanh(1.84 * wall_m / hole_m)
    rest = 0.94 + 0.54 * d + 0.285 * d**2
    return -hole_m * d**2 / (1.78 * tanh + rest), -hole_m * d**2 / (1.78 / tanh + rest)


def bore(chanter: Chanter, omega: Floats, air: Air) -> Tube:
    """The main bore of a chanter as a tube, at the angular frequencies `omega` (rad/s)."""
    return tube(chanter.bore_mm / 2000.0, omega, air)


def foot(chanter: Chanter, omega: Floats, air: Air) -> Complexes:
    """Radiation impedance (Pa s/m3) of the open foot, the effect of its sole left out."""
    return radiation(chanter.bore_mm / 2000.0, UNFLANGED_END_CORRECTION, omega, air)
