"""Computes the resonance of each of the 256 hole states of a chanter.

The input impedance is built from the foot up. Two states with the same lower fingers share the bore below, so all 256
are leaves of one binary tree of 510 hole steps.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fingering.acoustics.air import Air, Complexes, Floats, dry_air
from fingering.acoustics.elements import HoleArms, SeriesTerm, bore, foot, hole_arms
from fingering.acoustics.geometry import Chanter
from fingering.errors import UserError
from fingering.holes import Finger, HoleState

ALL_STATES = tuple(HoleState(bits) for bits in range(256))

# The search runs from well below low G to well above high A of any practice chanter near the reference's pitch.
# Steps of at most 80 cents keep two sign changes from hiding in one.
SEARCH_HZ = (170.0, 560.0)
SEARCH_STEP_CENTS = 80.0
MAX_REFINEMENTS = 12
SETTLED = 1e-7  # of sin(arg Z): about 1e-5 cents at the Q of a chanter
PHASE_STEP = 1e-4  # relative step in frequency for the slope of the phase


@dataclass(frozen=True, slots=True)
class Model:
    """A chanter, the air in it, and the formula for the series impedance of its holes."""

    chanter: Chanter
    air: Air = field(default_factory=dry_air)
    series: SeriesTerm = SeriesTerm.KEEFE


@dataclass(frozen=True, slots=True)
class Resonances:
    """The first resonance of each state asked for, in the order in which the states were given.

    Frequencies in Hz, quality factors, and the support that the third harmonic gives: |Z| at three times the frequency
    as a share of |Z| at resonance. A closed cylinder resonates at odd multiples, so a full note has much of it.
    """

    frequencies_hz: tuple[float, ...]
    qualities: tuple[float, ...]
    supports: tuple[float, ...]


def resonances(model: Model, states: Sequence[HoleState] = ALL_STATES) -> Resonances:
    """The first resonance of each state, by default of all 256. Raises UserError where there is none."""
    grid = _search_grid()
    phases = _sine_of_phase(tree_impedances(model, grid)[list(states)])
    closed = _closed(states)
    frequencies = _refine(model, closed, *_bracket(phases, grid, states))
    return Resonances(
        tuple(frequencies.tolist()),
        tuple(_qualities(model, closed, frequencies).tolist()),
        tuple(_supports(model, closed, frequencies).tolist()),
    )


def tree_impedances(model: Model, frequencies_hz: Floats) -> Complexes:
    """Input impedance (Pa s/m3) of all 256 states, one row each, at the frequencies given (one dimension)."""
    omega = 2.0 * np.pi * frequencies_hz
    tube = bore(model.chanter, omega, model.air)
    arms = hole_arms(model.chanter, omega, model.air, model.series)
    load = foot(model.chanter, omega, model.air)[np.newaxis]
    for finger, length_m in _upwards(model.chanter):
        load = tube.ending_in(load, length_m)
        opened = _past_hole(load, arms.series_open[finger], arms.shunt_open[finger])
        shut = _past_hole(load, arms.series_closed[finger], arms.shunt_closed[finger])
        # The finger's bit is the lowest so far, so that the rows end up in the order of HoleState.
        load = np.stack((opened, shut), axis=1).reshape(-1, frequencies_hz.size)
    return tube.ending_in(load, model.chanter.holes[0].position_mm / 1000.0)


def input_impedance(model: Model, closed: NDArray[np.bool_], frequencies_hz: Floats) -> Complexes:
    """Input impedance (Pa s/m3) where each state has frequencies of its own.

    closed: eight rows, thumb first, and a column for each state. frequencies_hz: states along the last axis.
    """
    omega = 2.0 * np.pi * frequencies_hz
    tube = bore(model.chanter, omega, model.air)
    series, shunt = _chosen(hole_arms(model.chanter, omega, model.air, model.series), closed)
    load = foot(model.chanter, omega, model.air)
    for finger, length_m in _upwards(model.chanter):
        load = _past_hole(tube.ending_in(load, length_m), series[finger], shunt[finger])
    return tube.ending_in(load, model.chanter.holes[0].position_mm / 1000.0)


def _upwards(chanter: Chanter) -> list[tuple[Finger, float]]:
    """The holes from the foot up, each with the length of bore (m) below it."""
    places_mm = [hole.position_mm for hole in chanter.holes] + [chanter.foot_mm]
    return [(finger, (places_mm[finger + 1] - places_mm[finger]) / 1000.0) for finger in reversed(Finger)]


def _past_hole(load: Complexes, series: Complexes, shunt: Complexes) -> Complexes:
    below = load + 0.5 * series
    return 0.5 * series + below * shunt / (below + shunt)


def _chosen(arms: HoleArms, closed: NDArray[np.bool_]) -> tuple[Complexes, Complexes]:
    middle = (1,) * (arms.shunt_open.ndim - closed.ndim)
    mask = closed.reshape(closed.shape[0], *middle, closed.shape[1])
    return (
        np.where(mask, arms.series_closed, arms.series_open),
        np.where(mask, arms.shunt_closed, arms.shunt_open),
    )


def _closed(states: Sequence[HoleState]) -> NDArray[np.bool_]:
    return np.array([[state.closed(finger) for state in states] for finger in Finger])


def _search_grid() -> Floats:
    low, high = SEARCH_HZ
    steps = int(np.ceil(1200.0 * np.log2(high / low) / SEARCH_STEP_CENTS))
    return np.geomspace(low, high, steps + 1)


def _sine_of_phase(impedance: Complexes) -> Floats:
    """sin(arg Z): zero where Im Z is, but nearly straight around a resonance, which Im Z is not."""
    sine: Floats = impedance.imag / np.abs(impedance)
    return sine


def _bracket(phases: Floats, grid: Floats, states: Sequence[HoleState]) -> tuple[Floats, Floats, Floats, Floats]:
    """The two grid points around each state's first fall through zero, and the values there."""
    falls = (phases[:, :-1] > 0.0) & (phases[:, 1:] <= 0.0)
    silent = np.flatnonzero(~falls.any(axis=1))
    if silent.size:
        what = f"with {states[silent[0]]} the chanter has no resonance from {SEARCH_HZ[0]:g} to {SEARCH_HZ[1]:g} Hz"
        raise UserError(what, "bring bore, holes and foot nearer to a practice chanter's")
    first = falls.argmax(axis=1)
    rows = np.arange(len(states))
    return grid[first], grid[first + 1], phases[rows, first], phases[rows, first + 1]


def _refine(
    model: Model, closed: NDArray[np.bool_], low: Floats, high: Floats, at_low: Floats, at_high: Floats
) -> Floats:
    """Close in on the zero between two frequencies by the secant method, for all states at once.

    sin(arg Z) is so nearly straight between two points of the grid that it needs no safeguard but the last check.
    """
    last, at_last = np.where(at_low < -at_high, high, low), np.where(at_low < -at_high, at_high, at_low)
    found = (low * at_high - high * at_low) / (at_high - at_low)
    for _ in range(MAX_REFINEMENTS):
        value = _sine_of_phase(input_impedance(model, closed, found))
        if np.max(np.abs(value)) < SETTLED:
            return found
        slope = (value - at_last) / np.where(found == last, np.inf, found - last)
        last, at_last = found, value
        found = found - np.divide(value, slope, out=np.zeros_like(value), where=slope != 0.0)
    raise UserError("the chanter's resonances cannot be found", "bring its sizes nearer to a practice chanter's")


def _qualities(model: Model, closed: NDArray[np.bool_], frequencies_hz: Floats) -> Floats:
    """Q from the slope of the phase at resonance: Q = -f/2 d(arg Z)/df."""
    around = frequencies_hz * np.array([[1.0 - PHASE_STEP], [1.0 + PHASE_STEP]])
    below, above = np.angle(input_impedance(model, closed, around))
    quality: Floats = (below - above) / (4.0 * PHASE_STEP)
    return quality


def _supports(model: Model, closed: NDArray[np.bool_], frequencies_hz: Floats) -> Floats:
    """|Z| at the third harmonic over |Z| at resonance."""
    first, third = np.abs(input_impedance(model, closed, frequencies_hz * np.array([[1.0], [3.0]])))
    support: Floats = third / first
    return support
