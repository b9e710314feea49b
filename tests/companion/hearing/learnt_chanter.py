"""A chanter as if it had been learnt, for tests of what is made of that."""

from __future__ import annotations

import numpy as np

from companion.hearing.learnt import ENOUGH_TO_SEE, Learnt
from companion.hearing.scale_fit import Bore, ScaleFit
from companion.hearing.spectra import FrameGrid
from companion.hearing.voice import RANKS, LearntVoice, audible_pitches
from fingering.notes import TUNINGS, Note

TUNING = TUNINGS[0]
PITCHES = audible_pitches(TUNING)
LOW_A_HZ = 240.0


def learnt(frames_of_f: int) -> Learnt:
    """A practice chanter of which F was heard so long, the other notes for long."""
    notes_hz = tuple(LOW_A_HZ * TUNING.ratio(note) for note in Note)
    hz = np.array([notes_hz[each.note] * 2.0 ** (each.off_cents / 1200.0) for each in PITCHES])
    nothing = np.zeros((len(PITCHES), RANKS))
    voice = LearntVoice(PITCHES, hz, nothing, nothing[:, 0], nothing, nothing)
    heard = tuple(frames_of_f if note is Note.F else 9 * ENOUGH_TO_SEE for note in Note)
    scale = ScaleFit(Bore.PRACTICE, TUNING, LOW_A_HZ, notes_hz, (0.1,) * len(Note), 0.8)
    return Learnt(scale, FrameGrid.of(16_000.0), voice, np.ones(3, np.float32), 2.0, heard)
