"""A low note may lie within its octave, though that was likelier on the whole."""

from __future__ import annotations

import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.reading.octaves import OctaveDoubt
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, costs_of_notes, evidence_of

pytestmark = pytest.mark.same_everywhere


@pytest.mark.parametrize(("doubtful_s", "hides"), [(0.06, True), (0.02, False)])
def test_a_melody_notes_shortest_time_hides_in_its_octave(doubtful_s: float, *, hides: bool) -> None:
    """60 ms of 300 in which low G is nearly as likely, and not 20; the high note as a whole is sure in both."""
    high = HeardNote(0.1, 0.4, Note.HIGH_G)
    costs = costs_of_notes([high], 0.5, 15.0)
    costs[round(0.2 / HOP_S) : round((0.2 + doubtful_s) / HOP_S), Note.LOW_G] = 2.0
    doubt = OctaveDoubt(evidence_of(costs), costs)
    assert doubt.hides(high) is hides
    assert not doubt.holds(high)
