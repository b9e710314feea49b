"""How loud F and high G are in samples of which it is known."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.notes.runs.near_levels import NearLevels
from companion.hearing.spectra import Floats
from fingering.notes import Note
from tests.companion.hearing.notes.runs.near_sound import chanter

pytestmark = pytest.mark.same_everywhere

CHANTER = chanter()
WINDOW = CHANTER.grid.window


def window(f: float, high_g: float, turn: float) -> Floats:
    """Both at once, so much louder or softer than they were learnt, as amplitude; turn: where their waves are."""
    at_s = np.arange(WINDOW) / CHANTER.grid.rate_hz
    ranks = np.arange(1, 11)[:, np.newaxis]
    both = [
        loud
        * np.sqrt(CHANTER.voice.harmonics[note][:10, np.newaxis])
        * np.sin(2.0 * np.pi * ranks * CHANTER.voice.hz[note] * at_s + turn * ranks)
        for note, loud in ((Note.F, f), (Note.HIGH_G, high_g))
    ]
    return np.asarray(np.sum(both, axis=(0, 1)), np.float32)


def levels(f: float, high_g: float) -> tuple[float, float]:
    """Levels of both in dB, in the middle of 24 windows."""
    windows = np.array([window(f, high_g, turn) for turn in np.linspace(0.0, 6.0, 24)])
    found = 10.0 * np.log10(np.median(NearLevels(CHANTER).of(windows), axis=0))
    return float(found[0]), float(found[1])


@pytest.mark.parametrize(("f", "high_g"), [(1.0, 0.5), (0.5, 1.0), (1.0, 1.0), (0.3, 1.0)])
def test_both_are_told_to_3_db_while_both_sound(f: float, high_g: float) -> None:
    """Though their first harmonics lie 20 Hz apart, and a window of 20 ms parts no less than 100."""
    assert levels(f, high_g) == pytest.approx((20.0 * np.log10(f), 20.0 * np.log10(high_g)), abs=3.0)


def test_what_does_not_sound_is_15_db_below_what_does() -> None:
    """In neither direction does one leave much of the other."""
    f_alone, high_g_alone = levels(1.0, 0.0), levels(0.0, 1.0)
    assert f_alone[0] == pytest.approx(0.0, abs=1.5)
    assert high_g_alone[1] == pytest.approx(0.0, abs=1.5)
    assert f_alone[1] < -15.0
    assert high_g_alone[0] < -15.0


def test_silence_is_neither() -> None:
    """And divides nothing by nothing."""
    assert (NearLevels(CHANTER).of(np.zeros((2, WINDOW), np.float32)) < 1e-3).all()
