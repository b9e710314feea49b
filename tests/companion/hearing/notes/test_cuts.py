"""A note that was heard in pieces sounds on where what cuts it may as well be it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.notes.cuts import sounding_on
from companion.hearing.notes.joining import TOUCHING_S
from fingering.notes import Note

pytestmark = pytest.mark.same_everywhere

LOW_G, HIGH_G = Note.LOW_G, Note.HIGH_G
CUT = HeardNote(1.0, 1.03, HIGH_G, 0.5, frozenset({LOW_G}))


@pytest.mark.parametrize(
    ("cut", "sounds_on"),
    [
        (CUT, True),
        (replace(CUT, confidence=0.95), False),
        (replace(CUT, others=frozenset({Note.F})), False),
        (replace(CUT, at_s=1.01), False),  # after a gap
        (replace(CUT, at_s=0.9), False),  # too long
    ],
)
def test_a_cut_that_is_hardly_sure_and_may_be_the_note_around_it_is_none(cut: HeardNote, *, sounds_on: bool) -> None:
    """High G within low G, as a room's echo and a low G's second harmonic make one."""
    before = HeardNote(0.5, 0.9 if cut.at_s < 1.0 else 1.0, LOW_G)
    pieces = [before, cut, HeardNote(1.03, 2.0, LOW_G)]
    assert sounding_on(pieces, TOUCHING_S) == ([replace(before, stop_s=2.0)] if sounds_on else pieces)


def test_a_gap_that_is_no_stop_is_sounded_through() -> None:
    """No longer one."""
    one, other = HeardNote(0.0, 1.0, LOW_G), HeardNote(1.1, 2.0, LOW_G)
    assert sounding_on([one, other], 0.2) == [replace(one, stop_s=2.0)]
    assert sounding_on([one, other], TOUCHING_S) == [one, other]
