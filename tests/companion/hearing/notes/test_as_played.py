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
    """The pitch that each stretch is read as."""
    return [each.pitch for each in as_played(way_of(pitches), VOICE)]


def test_an_f_that_wavers_is_one_f() -> None:
    """High G over F sounds as in the chart: its false fingerings lead to the notes beneath that they lie over."""
    assert read(Note.F, FALSE_G, Note.F, FALSE_G, Note.F) == [Note.F] * 5


@pytest.mark.parametrize("after", [Note.LOW_G, Note.B, Note.D, Note.HIGH_G, NO_PITCH])
def test_what_leads_elsewhere_stays(after: Note) -> None:
    """A gracenote over a low note, also after F; what leads to high G itself; and the last sound before a silence."""
    assert read(Note.F, FALSE_G, after) == [Note.F, FALSE_G, after]


@pytest.mark.parametrize(("as_f", "as_high_g", "expected"), [(2.0, 18.0, Note.F), (18.0, 2.0, Note.HIGH_G)])
def test_it_is_what_it_is_likelier_to_be(as_f: float, as_high_g: float, expected: Note) -> None:
    """A gracenote of high G before F sounds as in the chart, and may have been taken for a false fingering."""
    costs = np.zeros(len(PITCHES) + 1)
    costs[Note.F], costs[Note.HIGH_G] = as_f, as_high_g
    way = [HeardStretch(FALSE_G, 0, 12, tuple(costs.tolist())), HeardStretch(Note.F, 12, 80)]
    assert [each.pitch for each in as_played(way, VOICE)] == [expected, Note.F]


def test_nothing_is_learnt_of_what_is_nearer_to_high_g() -> None:
    """It may be a gracenote before F, or a moment of an F that wavers widely: 51 cents above it, 34 below high G."""
    high = next(rank for rank, each in enumerate(PITCHES) if each.note is Note.HIGH_G and each.off_cents == -33.9)
    assert read(Note.C, high, Note.F) == [Note.C, NO_PITCH, Note.F]


def test_times_stay_as_they_were() -> None:
    way = way_of([Note.F, FALSE_G, Note.F])
    assert [(each.first, each.stop) for each in as_played(way, VOICE)] == [(0, 40), (40, 80), (80, 120)]
