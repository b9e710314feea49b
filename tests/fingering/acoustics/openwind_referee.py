"""Computes the reference chanter by openwind, a general-purpose library for wind instruments."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fingering.acoustics.elements import RADIATION_RESISTANCE, flanged_end_correction
from fingering.acoustics.geometry import Chanter
from fingering.holes import Finger, HoleState
from tests.referees import require_module

# The project's air: dry, by Chaigne & Kergomard's formulas.
AIR = {"temperature": 25, "humidity": 0.0, "carbon": 0.0, "ref_phy_coef": "Chaigne_Kergomard"}
SEARCH_HZ = (180.0, 560.0)


def openwind_hz(
    chanter: Chanter, states: Sequence[HoleState], *, matched: bool, points: int = 400
) -> NDArray[np.float64]:
    """First resonance of each state in Hz, from `points` frequencies each.

    matched: with the matching volume and flanged holes that the project has, else with openwind's defaults.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # openwind's own, about the libraries that it uses
        return _computed_hz(chanter, states, _matching_options(chanter) if matched else {}, points)


def _computed_hz(
    chanter: Chanter, states: Sequence[HoleState], options: dict[str, Any], points: int
) -> NDArray[np.float64]:
    grid_hz = np.geomspace(*SEARCH_HZ, points)
    bore_m = chanter.bore_mm / 2000.0
    names = [f"s{rank}" for rank in range(len(states))]
    holes: list[list[str | float]] = [["label", "position", "chimney", "radius"]]
    holes += [
        [finger.name, hole.position_mm / 1000.0, chanter.wall_mm / 1000.0, hole.diameter_mm / 2000.0]
        for finger, hole in zip(Finger, chanter.holes, strict=True)
    ]
    fingerings = [["label", *names]]
    fingerings += [[finger.name, *("x" if state.closed(finger) else "o" for state in states)] for finger in Finger]
    computed = require_module("openwind").ImpedanceComputation(
        grid_hz,
        [[0.0, bore_m], [chanter.foot_mm / 1000.0, bore_m]],
        holes,
        fingerings,
        note=names[0],
        compute_method="TMM",
        nondim=False,
        **AIR,
        **options,
    )
    found = []
    for name in names:
        computed.set_note(name)
        found.append(_first_fall_hz(grid_hz, np.sin(np.angle(computed.impedance))))
    return np.array(found)


def _matching_options(chanter: Chanter) -> dict[str, Any]:
    return {"matching_volume": True, "radiation_category": _flanged(chanter)}


def _flanged(chanter: Chanter) -> dict[str, Any]:
    radiation = require_module("openwind.continuous.physical_radiation")
    scaling = require_module("openwind.continuous").Scaling()
    outer_m = (chanter.bore_mm / 2.0 + chanter.wall_mm) / 1000.0
    found: dict[str, Any] = {"bell": "unflanged"}
    for finger, hole in zip(Finger, chanter.holes, strict=True):
        eta = float(flanged_end_correction(np.array(hole.diameter_mm / 2000.0), outer_m))
        coefficients = (1.0 / eta, RADIATION_RESISTANCE / eta**2)
        found[finger.name] = (radiation.RadiationPade(coefficients, f"outside {finger.name}", scaling), ())
    return found


def _first_fall_hz(grid_hz: NDArray[np.float64], sine: NDArray[np.float64]) -> float:
    """Where a finely sampled function first falls through zero, by a polynomial through the six points around it."""
    at = int(np.flatnonzero((sine[:-1] > 0.0) & (sine[1:] <= 0.0))[0])
    around = slice(at - 2, at + 4)
    return float(np.exp(np.polynomial.polynomial.polyfit(sine[around], np.log(grid_hz[around]), 5)[0]))
