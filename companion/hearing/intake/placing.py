"""Finds which notes pitches are, where few are heard: four steps alike may begin on more than one note. Pure."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from fingering.notes import TUNINGS, Note

MOST_STRAY_CENTS = 35.0
"""How far each pitch may lie from its note: those of a chanter lie up to 30 cents from any tuning (`scale_fit`)."""


def other_steps(heard_hz: Mapping[Note, float], low_a_hz: tuple[float, float]) -> tuple[int, ...]:
    """By how many notes all that were heard could as well be higher or lower, none being out of place.

    heard_hz: the pitch of each. low_a_hz: the lowest and highest low A that there may be.
    """
    return tuple(step for step in range(-8, 9) if step and _fits(heard_hz, step, low_a_hz))


def _fits(heard_hz: Mapping[Note, float], step: int, low_a_hz: tuple[float, float]) -> bool:
    if not heard_hz or any(not 0 <= note + step < len(Note) for note in heard_hz):
        return False
    for tuning in TUNINGS:
        lows = [1200.0 * float(np.log2(hz)) - tuning.cents(Note(note + step)) for note, hz in heard_hz.items()]
        middle = 0.5 * (min(lows) + max(lows))
        low_hz = 2.0 ** (middle / 1200.0)
        if max(lows) - middle <= MOST_STRAY_CENTS and low_a_hz[0] <= low_hz <= low_a_hz[1]:
            return True
    return False
