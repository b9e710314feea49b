"""The notes around a moment."""

from __future__ import annotations

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.around import leading_to, movement
from fingering.notes import Note

pytestmark = pytest.mark.same_everywhere

FIRST, GRACE, SECOND = HeardNote(0.0, 0.03, Note.F), HeardNote(1.0, 1.04, Note.HIGH_G), HeardNote(0.03, 1.0, Note.E)
NOTES = [FIRST, SECOND, GRACE, HeardNote(1.04, 2.0, Note.C)]


@pytest.mark.parametrize(
    ("at_s", "found"),
    [
        (1.04, [GRACE]),
        (1.037, [GRACE]),
        (1.0, [GRACE]),
        (0.998, [GRACE]),  # read to begin a little before it was heard to
        (0.03, [FIRST]),
        (0.12, [FIRST]),
        (0.5, []),  # within one that lasts: a gracenote is missing between two that sound as one
    ],
)
def test_a_movement_is_what_leads_to_the_note_that_begins_then(at_s: float, found: list[HeardNote]) -> None:
    """Or is about to: not what led to the note before it."""
    assert [*movement(NOTES, at_s)] == found


def test_a_note_that_nothing_leads_to_has_no_movement() -> None:
    """Whatever leads to the one before it."""
    notes = [FIRST, SECOND, HeardNote(1.0, 2.0, Note.C)]
    assert [*movement(notes, 1.0)] == [*movement(notes, 0.998)] == []


@pytest.mark.parametrize(("name", "found"), [(Note.C, [GRACE]), (Note.B, [GRACE, HeardNote(1.04, 1.1, Note.C), FIRST])])
def test_what_leads_to_a_note_comes_before_it_though_that_is_short_itself(name: Note, found: list[HeardNote]) -> None:
    """But where no note of its name begins then, it may be any of those around."""
    notes = [*NOTES[:3], HeardNote(1.04, 1.1, Note.C), HeardNote(1.1, 1.13, Note.F), HeardNote(1.13, 2.0, Note.E)]
    assert [each.note for each in leading_to(notes, name, 1.04)] == [each.note for each in found]
