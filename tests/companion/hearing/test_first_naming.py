"""Which of two notes an octave apart is named first, before a voice is learnt."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.scale_fit import first_notes, fit_scale, scale_spectra
from companion.hearing.spectra import Floats
from fingering.notes import Note

RATE_HZ = 15_000
LOW_A_HZ = 470.0
NOTE_S = 0.4

pytestmark = pytest.mark.same_everywhere


def note(ratio: float, levels: tuple[float, ...]) -> Floats:
    """A note of so many harmonics, with a little noise."""
    at_s = np.arange(round(NOTE_S * RATE_HZ)) / RATE_HZ
    tone = sum(
        level * np.sin(2.0 * np.pi * rank * ratio * LOW_A_HZ * at_s + rank) for rank, level in enumerate(levels, 1)
    )
    noise = np.random.default_rng(round(1000.0 * ratio)).normal(0.0, 1e-4, len(at_s))
    return np.asarray(np.hanning(len(at_s)) ** 0.1 * tone + noise, np.float32)


def test_a_low_note_whose_second_harmonic_is_all_but_alone_is_no_high_one() -> None:
    """Its first is 24 dB below, much as an oboe's low G has it in a room; a high G of one harmonic is that."""
    plain = tuple(0.5 / rank for rank in range(1, 7))
    ratios = (1.0, 9.0 / 8.0, 5.0 / 4.0, 4.0 / 3.0, 3.0 / 2.0, 5.0 / 3.0)
    around = [note(ratio, plain) for ratio in ratios]
    low, high = note(7.0 / 8.0, (0.03, 0.5, 0.02, 0.02, 0.01)), note(7.0 / 4.0, (0.5, 0.003))
    sound = np.concatenate([*around, low, around[0], high, *around])
    spectra = scale_spectra([sound], RATE_HZ)
    assert spectra is not None
    scale = fit_scale(spectra)
    assert scale is not None
    (told,) = first_notes(spectra, scale)
    for rank, expected in ((6, Note.LOW_G), (8, Note.HIGH_G)):
        middle_s = (rank + 0.5) * NOTE_S
        assert [each for each, begin_s, stop_s in told if begin_s < middle_s < stop_s] == [expected]
