"""What an ear hears of a crossing: the WAV files of the command line, measured."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.__main__ import main
from companion.schedule.crossing import HOLD_S
from companion.sound.settings import DEFAULT_LOW_A_HZ, SAMPLE_RATE_HZ

# Low A of the practice chanter is 240 Hz, E 360 and high A 480: all on the bins of a window of 1/120 s, so that a
# rectangular window keeps them apart, and neither E nor high A has a harmonic at 240 Hz.
LOW_A_HZ = DEFAULT_LOW_A_HZ / 2.0
WINDOW = round(SAMPLE_RATE_HZ / (LOW_A_HZ / 2.0))


def rendered(path: Path, *late: str) -> NDArray[np.float64]:
    """The WAV file of high A to E, the left channel."""
    assert main(["cross", "a", "e", *late, "-o", str(path)]) == 0
    with wave.open(str(path)) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), np.int16)
    return samples[::2].astype(np.float64)


def low_a(samples: NDArray[np.float64]) -> NDArray[np.float64]:
    """How much low A sounds in the window around each frame, by a sliding Fourier sum at its fundamental."""
    frames = np.arange(len(samples))
    turned = samples * np.exp(-2j * np.pi * LOW_A_HZ * frames / SAMPLE_RATE_HZ)
    return np.abs(np.convolve(turned, np.ones(WINDOW), mode="same"))


def moments_s(heard: NDArray[np.float64], level: float) -> NDArray[np.float64]:
    """When low A stands above `level`, frame by frame; the sound's own beginning and end are left out."""
    first, last = round(0.1 * SAMPLE_RATE_HZ), round((2.0 * HOLD_S - 0.1) * SAMPLE_RATE_HZ)
    return (first + np.flatnonzero(heard[first:last] > level)) / SAMPLE_RATE_HZ


def test_a_ring_finger_40_ms_late_sounds_low_a_for_40_ms(tmp_path: Path) -> None:
    """It stands above half its height for 40 ms, within 3 ms and in one piece, once the others have moved."""
    heard = low_a(rendered(tmp_path / "late.wav", "--late", "upper ring=40"))
    above = moments_s(heard, np.median(heard[heard > heard.max() / 2.0]) / 2.0)
    assert len(above) / SAMPLE_RATE_HZ == pytest.approx(0.040, abs=0.003)
    assert above[-1] - above[0] == pytest.approx(0.040, abs=0.003)
    assert above[0] == pytest.approx(HOLD_S, abs=0.003)


def test_the_clean_crossing_holds_no_low_a(tmp_path: Path) -> None:
    """It never comes near that height: what there is at 240 Hz is the spread of the fade from one tone to the other."""
    heard = low_a(rendered(tmp_path / "late.wav", "--late", "upper ring=40"))
    height = np.median(heard[heard > heard.max() / 2.0])
    clean = low_a(rendered(tmp_path / "clean.wav"))
    assert len(moments_s(clean, height / 2.0)) == 0
    assert len(moments_s(clean, height / 10.0)) / SAMPLE_RATE_HZ < 0.012
