"""A way through a sound read as it can have been played."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from companion.hearing.notes.as_played import as_played
from companion.hearing.path import NO_PITCH, HeardStretch
from fingering.notes import Note
from tests.companion.hearing.learnt_chanter import PITCHES, learnt

pytestmark = pytest.mark.same_everywhere

VOICE = learnt(1000).voice
FALSE_G = min(
    (rank for rank, each in enumerate(PITCHES) if each.note is Note.HIGH_G and not each.plain),
    key=lambda rank: abs(float(np.log(VOICE.hz[rank] / VOICE.hz[Note.F]))),
)


def way_of(pitches: Sequence[int]) -> list[HeardStretch]:
    """A stretch of 40 frames of each."""
    return [HeardStretch(pitch, 40 * rank, 40 * (rank + 1)) for rank, pitch in enumerate(pitches)]


def read(*pitches: int) -> list[int]:
    """What each stretch is read as."""
    return [each.pitch for each in as_played(way_of(pitches), VOICE)]


def test_an_f_that_wavers_is_one_f() -> None:
    """High G over F sounds as in the chart: its false fingerings lead to the notes beneath that they lie over."""
    assert read(Note.F, FALSE_G, Note.F, FALSE_G, Note.F) == [Note.F] * 5


@pytest.mark.parametrize("after", [Note.LOW_G, Note.B, Note.D, Note.HIGH_G, NO_PITCH])
def test_what_leads_elsewhere_stays(after: Note) -> None:
    """A gracenote over a low note, also after F; what leads to high G itself; and the last sound before a silence."""
    assert read(Note.F, FALSE_G, after) == [Note.F, FALSE_G, after]


def test_times_stay_as_they_were() -> None:
    way = way_of([Note.F, FALSE_G, Note.F])
    assert [(each.first, each.stop) for each in as_played(way, VOICE)] == [(0, 40), (40, 80), (80, 120)]
