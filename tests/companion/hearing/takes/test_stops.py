"""A silence that was heard is one only where nothing is nearly as likely."""

from __future__ import annotations

import pytest

from companion.hearing.heard import SILENCE, HeardNote
from companion.hearing.takes.reading.octaves import OctaveDoubt, octaves_read
from companion.hearing.takes.reading.stops import (
    LEAST_STOP_NATS,
    stops_weighed,
    with_the_last,
    without_lone,
    without_unheard_stops,
)
from fingering.notes import Note
from tests.companion.hearing.takes.said import costs_of_notes, evidence_of

pytestmark = pytest.mark.same_everywhere

B, C, LOW_G, HIGH_G = Note.B, Note.C, Note.LOW_G, Note.HIGH_G
PLAYED = (HeardNote(0.0, 0.4, B), HeardNote(0.8, 1.2, C))


@pytest.mark.parametrize(("nats", "sounded"), [(LEAST_STOP_NATS - 0.5, True), (LEAST_STOP_NATS + 0.5, False)])
def test_a_note_that_is_nearly_as_likely_as_silence_sounded(nats: float, *, sounded: bool) -> None:
    """Between two notes, and after the last one; then it costs no more than silence to read it there."""
    costs = costs_of_notes(PLAYED, 1.6, nats=8.0)
    costs[160:320, LOW_G] = costs[480:560, LOW_G] = nats
    evidence = evidence_of(costs)
    notes = with_the_last(stops_weighed(PLAYED, evidence, costs, LEAST_STOP_NATS), evidence, costs, LEAST_STOP_NATS)
    assert [each.note for each in notes] == ([B, LOW_G, C, LOW_G] if sounded else [B, C])
    assert (costs[160:320, LOW_G] == costs[160:320, SILENCE]).all() == sounded
    if sounded:
        assert (notes[1].at_s, notes[1].stop_s) == (0.4, 0.8)
        assert notes[-1].stop_s == pytest.approx(1.4)


def test_a_note_that_sounds_on_over_a_silence_is_one() -> None:
    """As in a room, where a note and its echo cancel each other for a while."""
    notes = (HeardNote(0.0, 0.4, B), HeardNote(0.6, 1.0, B))
    costs = costs_of_notes(notes, 1.0, nats=8.0)
    costs[160:240, B] = 1.0
    assert [(each.at_s, each.stop_s) for each in stops_weighed(notes, evidence_of(costs), costs, 4.0)] == [(0.0, 1.0)]


def test_a_short_note_between_silences_is_no_chanters() -> None:
    """One beside another is, and so is a long one."""
    lone, beside, long = HeardNote(0.5, 0.6, B), HeardNote(2.0, 2.1, C), HeardNote(2.1, 2.3, B)
    assert without_lone((lone, beside, long)) == [beside, long]
    assert without_lone((HeardNote(0.5, 0.7, B), beside, long))[0].note is B


def test_a_long_high_note_may_be_read_as_the_low_one() -> None:
    """Where that is nearly as likely; and when notes began is then not known there. Of a gracenote it is not."""
    heard = (HeardNote(0.0, 0.05, HIGH_G), HeardNote(0.05, 0.2, B), HeardNote(0.2, 0.6, HIGH_G))
    costs = costs_of_notes(heard, 0.6, nats=8.0)
    sure = OctaveDoubt(evidence_of(costs), costs)
    assert not any(map(sure.holds, heard))
    assert (sure.in_costs(costs, heard) == costs).all()
    alike = costs.copy()
    alike[80:240, LOW_G] = 3.0
    doubt = OctaveDoubt(evidence_of(alike), alike)
    assert [doubt.holds(each) for each in heard] == [False, False, True]
    in_doubt = doubt.in_costs(alike, heard)
    assert (in_doubt[80:240, LOW_G] == 0.0).all()
    assert (in_doubt[:80] == alike[:80]).all()
    assert octaves_read(heard, heard) == []
    assert octaves_read(heard, [*heard[:2], HeardNote(0.2, 0.6, LOW_G)]) == [heard[2]]


def test_what_was_heard_to_sound_on_did_not_stop() -> None:
    """Silence costs as much as the note where its echo cancels it, and nothing more where nothing was heard."""
    notes = (HeardNote(0.0, 1.0, B),)
    costs = costs_of_notes(notes, 1.2, nats=8.0)
    costs[160:240, B], costs[160:240, SILENCE] = 3.0, 0.0
    counted = without_unheard_stops(notes, evidence_of(costs), costs)
    assert (counted[160:240, SILENCE] == 3.0).all()
    assert (counted[:160] == costs[:160]).all()
    assert (counted[400:] == costs[400:]).all()
