"""A chanter that cannot be drilled, or does not sound, is refused in one line."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fingering.acoustics.calibrate import SKETCH, calibrate
from fingering.acoustics.geometry import Chanter, ToneHole
from fingering.acoustics.ladder import Model, resonances
from fingering.errors import UserError
from fingering.holes import Finger
from fingering.notes import HARMONIC

pytestmark = pytest.mark.same_everywhere


def with_hole(finger: Finger, hole: ToneHole) -> Chanter:
    """The sketch with one hole replaced."""
    return replace(SKETCH, holes=tuple(hole if each is finger else SKETCH.holes[each] for each in Finger))


def test_holes_out_of_order_are_refused() -> None:
    """The message names both holes and where they are."""
    with pytest.raises(UserError, match="upper index hole at 150 mm does not lie below the thumb hole at 172 mm"):
        with_hole(Finger.UPPER_INDEX, ToneHole(3.0, 150.0))


def test_a_foot_above_the_last_hole_is_refused() -> None:
    """The foot is the last of all."""
    with pytest.raises(UserError, match="foot at 300 mm does not lie below the lower little hole"):
        replace(SKETCH, foot_mm=300.0)


@pytest.mark.parametrize("size_mm", [0.0, -4.8, float("nan"), float("inf")])
def test_sizes_must_be_above_nought(size_mm: float) -> None:
    """A bore or a hole of nought, of less, or of no number is refused."""
    with pytest.raises(UserError, match=r"the bore measures .* mm; give a size above 0 mm"):
        replace(SKETCH, bore_mm=size_mm)
    with pytest.raises(UserError, match="the lower ring hole measures"):
        with_hole(Finger.LOWER_RING, ToneHole(size_mm, 303.0))


def test_a_hole_wider_than_the_bore_is_refused() -> None:
    """No drill makes one."""
    with pytest.raises(UserError, match=r"thumb hole .5 mm. is wider than the bore .4.8 mm."):
        with_hole(Finger.THUMB, ToneHole(5.0, 172.0))


def test_a_chanter_has_eight_holes() -> None:
    """One a finger."""
    with pytest.raises(UserError, match="8 holes, not 7"):
        replace(SKETCH, holes=SKETCH.holes[:7])


def test_a_chanter_without_a_resonance_in_reach_is_refused() -> None:
    """A tenth of the size sounds four octaves up; the message names a state and the range searched."""
    tiny = Chanter(4.8, 3.5, tuple(ToneHole(3.0, 10.0 + 4.0 * finger) for finger in Finger), 42.0)
    with pytest.raises(UserError, match="no resonance from 170 to 560 Hz"):
        resonances(Model(tiny))


@pytest.mark.parametrize("low_a_hz", [180.0, 1900.0])
def test_a_tuning_that_no_places_can_give_is_refused(low_a_hz: float) -> None:
    """Some notes down the search finds no end, and three octaves up it comes to a chanter without a resonance."""
    with pytest.raises(UserError, match=f"no place of the holes gives the harmonic tuning at {low_a_hz:g} Hz"):
        calibrate(SKETCH, HARMONIC, low_a_hz=low_a_hz)
