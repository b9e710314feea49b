"""Places the holes and the foot of a chanter so that its nine notes are in tune."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from fingering.acoustics.air import Floats
from fingering.acoustics.geometry import Chanter, ToneHole
from fingering.acoustics.ladder import Model, resonances
from fingering.chart import chart
from fingering.errors import UserError
from fingering.notes import Note, Tuning

LOW_A_HZ = 237.0  # an octave below a bagpipe's low A near 474 Hz: Macpherson 1998, measmeth.html, has 475
IN_TUNE_CENTS = 1e-4
MAX_ROUNDS = 30
PROBE_MM = 0.01
LONGEST_STEP_MM = 6.0

# Sizes chosen for a hand, and places near enough for the search to start from.
SKETCH = Chanter(
    bore_mm=4.8,
    wall_mm=3.5,
    holes=tuple(
        ToneHole(diameter_mm, position_mm)
        for diameter_mm, position_mm in (
            (4.6, 172.0),
            (3.0, 194.0),
            (4.6, 207.0),
            (3.7, 227.0),
            (3.1, 255.0),
            (4.6, 275.0),
            (3.8, 303.0),
            (3.0, 336.0),
        )
    ),
    foot_mm=392.0,
)


def calibrate(sketch: Chanter, tuning: Tuning, low_a_hz: float = LOW_A_HZ) -> Chanter:
    """Move the holes and the foot of `sketch` until all nine notes are in tune, within IN_TUNE_CENTS.

    Nine notes fix nine places, found by Newton's method; bore, wall and hole sizes stay. Raises UserError where no
    order of holes gives the tuning.
    """
    targets_hz = low_a_hz * np.array([tuning.ratio(note) for note in Note])
    places_mm = np.array([*(hole.position_mm for hole in sketch.holes), sketch.foot_mm])
    found = _search(sketch, places_mm, targets_hz)
    if found is None:
        what = f"no place of the holes gives the {tuning.name} tuning at {low_a_hz:g} Hz"
        raise UserError(what, "bring bore, wall and hole sizes nearer to a practice chanter's")
    return found


def _search(sketch: Chanter, places_mm: Floats, targets_hz: Floats) -> Chanter | None:
    """The chanter in tune; None where the search does not end, or leads to what is no chanter or has no resonance."""
    try:
        for _ in range(MAX_ROUNDS):
            errors = _errors_cents(sketch, places_mm, targets_hz)
            if np.max(np.abs(errors)) < IN_TUNE_CENTS:
                return _moved(sketch, places_mm)
            places_mm = places_mm + _newton_step(sketch, places_mm, targets_hz, errors)
    except UserError:
        return None
    return None


def _newton_step(sketch: Chanter, places_mm: Floats, targets_hz: Floats, errors: Floats) -> Floats:
    probes = places_mm + PROBE_MM * np.eye(places_mm.size)
    slopes = np.array([(_errors_cents(sketch, probe, targets_hz) - errors) / PROBE_MM for probe in probes]).T
    step: Floats = -np.linalg.solve(slopes, errors)
    return step * min(1.0, LONGEST_STEP_MM / float(np.max(np.abs(step))))


def _errors_cents(sketch: Chanter, places_mm: Floats, targets_hz: Floats) -> Floats:
    found = resonances(Model(_moved(sketch, places_mm)), [chart(note) for note in Note])
    errors: Floats = 1200.0 * np.log2(np.array(found.frequencies_hz) / targets_hz)
    return errors


def _moved(sketch: Chanter, places_mm: Floats) -> Chanter:
    *positions_mm, foot_mm = places_mm.tolist()
    holes = (ToneHole(hole.diameter_mm, at_mm) for hole, at_mm in zip(sketch.holes, positions_mm, strict=True))
    return replace(sketch, holes=tuple(holes), foot_mm=foot_mm)
