"""What a sound said is kept to a quarter of a nat."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.heard import MOST_NATS, NAMES, SURE_NAME_NATS, HeardNote, SoundEvidence, SureName
from companion.hearing.telling import changes_packed, moments_packed
from companion.hearing.voice import AudiblePitch
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, PITCHES, evidence_of

pytestmark = pytest.mark.same_everywhere


def test_costs_are_kept_as_differences() -> None:
    """From the likeliest name of each moment, in steps of 0.25 nats, 63.75 at most."""
    costs = np.array([[3.0, 3.3, 500.0, *[4.0] * (NAMES - 3)]], np.float32)
    expected = [0.0, 0.25, MOST_NATS, *[1.0] * (NAMES - 3)]
    assert evidence_of(costs).costs().tolist() == [expected]


def test_a_name_costs_what_its_cheapest_fingering_does() -> None:
    """A false fingering of high G is high G."""
    pitches = (*PITCHES, AudiblePitch(Note.HIGH_G, -40.0))
    costs = np.full((1, len(pitches) + 1), 9.0, np.float32)
    costs[0, len(Note)] = 2.0
    kept = np.frombuffer(moments_packed(costs, pitches), np.uint8)
    assert kept.argmin() == Note.HIGH_G
    assert sorted(set(kept.tolist())) == [0, 28]


def test_moments_and_edges_are_one_clock() -> None:
    """What begins between two moments begins with the later; moved, all is later."""
    evidence = evidence_of(np.zeros((400, NAMES), np.float32)).moved(3.0)
    assert evidence.edge_s(100) == pytest.approx(3.0 + 100 * HOP_S)
    assert [evidence.moment(evidence.edge_s(each)) for each in (0, 7, 399)] == [0, 7, 399]


def test_what_a_change_costs_is_kept() -> None:
    """From -4 nats on, in steps of 0.25; it is 0 everywhere where that is not known."""
    rows = [bytes(NAMES * 3)]
    costs = np.array([-4.0, 0.3, 12.0], np.float32)
    assert SoundEvidence.of(rows, 0.0, HOP_S, [changes_packed(costs)]).change_costs().tolist() == [-4.0, 0.25, 12.0]
    assert SoundEvidence.of(rows, 0.0, HOP_S).change_costs().tolist() == [0.0, 0.0, 0.0]
    with pytest.raises(ValueError, match="2 changes for 3 moments"):
        SoundEvidence.of(rows, 0.0, HOP_S, [changes_packed(costs[:2])]).change_costs()


@pytest.mark.parametrize("packed", [b"", b"no such thing", SoundEvidence.of([b"\0" * 21], 0.0, HOP_S).packed])
def test_what_is_no_evidence_is_refused(packed: bytes) -> None:
    """Bytes that were never packed, and moments that are not whole."""
    with pytest.raises(ValueError, match=r"."):
        SoundEvidence(0.0, HOP_S, packed).unpacked()


def test_a_name_that_a_pitch_rules_out_costs_more_than_any_doubt() -> None:
    """The note itself costs what the likelier of both did; other names and other moments are as they were."""
    costs = np.full((400, NAMES), 20.0, np.float32)
    costs[:, Note.F], costs[:, Note.HIGH_G] = 0.0, 3.0
    evidence = evidence_of(costs)
    note = HeardNote(evidence.edge_s(100), evidence.edge_s(112), Note.HIGH_G)
    named = evidence.naming([SureName(note, frozenset({Note.F}))]).costs()
    assert set(named[100:112, Note.HIGH_G]) == {0.0}
    assert set(named[100:112, Note.F]) == {SURE_NAME_NATS}
    untouched = evidence.costs()
    named[100:112, [Note.F, Note.HIGH_G]] = untouched[100:112, [Note.F, Note.HIGH_G]]
    assert (named == untouched).all()
