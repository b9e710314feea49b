"""Noises of crossings and wrong gracenotes that are sure in a room, however short."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from companion.hearing.heard import SURE_NAME_NATS, HeardNote
from companion.hearing.takes.reading.sure_short import sure_noises
from companion.listen.model.findings import Finding, FindingKind
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, costs_of_notes, counted

pytestmark = pytest.mark.same_everywhere

B, C, LOW_G, HIGH_G = Note.B, Note.C, Note.LOW_G, Note.HIGH_G
NOISE = HeardNote(1.0, 1.016, B)


def told(noise: HeardNote, kind: FindingKind = FindingKind.CROSSING) -> list[Finding]:
    """What is told of a noise."""
    return [Finding(kind, noise.at_s, 1, 0, 0, "g", noise.note.letter, (), 16.0, "", "", None)]


def is_sure(
    noise: HeardNote, before: Note = LOW_G, earlier: Note = C, kind: FindingKind = FindingKind.CROSSING
) -> bool:
    """Whether a noise between a note and a high G gracenote is sure, where another sounded 0.3 s before it."""
    notes = [HeardNote(0.0, 0.7, earlier), HeardNote(0.7, noise.at_s, before), noise]
    notes += [HeardNote(noise.stop_s, noise.stop_s + 0.04, HIGH_G), HeardNote(noise.stop_s + 0.04, 2.0, C)]
    return sure_noises(notes, told(noise, kind)) == [noise]


def test_what_did_not_sound_shortly_before_is_no_echo() -> None:
    """B of 16 ms, which is sure if no B ended 0.3 s before it."""
    assert is_sure(NOISE)
    assert not is_sure(NOISE, earlier=B)


@pytest.mark.parametrize(
    "noise",
    [
        replace(NOISE, stop_s=1.012),
        replace(NOISE, stop_s=1.09),
        replace(NOISE, confidence=0.8),
        replace(NOISE, others=frozenset({C})),
        replace(NOISE, note=Note.F),  # beside high G
        replace(NOISE, note=LOW_G),  # its octave
    ],
)
def test_what_is_too_short_or_long_or_may_be_another_is_not(noise: HeardNote) -> None:
    assert not is_sure(noise, before=C)


F_BEFORE = HeardNote(1.0, 1.025, Note.F)


@pytest.mark.parametrize(
    ("noise", "is_there"),
    [
        (F_BEFORE, True),
        (replace(F_BEFORE, others=frozenset({HIGH_G})), True),
        (replace(F_BEFORE, stop_s=1.04), True),
        (replace(F_BEFORE, stop_s=1.04, others=frozenset({HIGH_G})), False),
        (replace(F_BEFORE, others=frozenset({HIGH_G, Note.E})), False),
        (replace(F_BEFORE, stop_s=1.018), False),
        (replace(F_BEFORE, stop_s=1.05), False),
        (replace(F_BEFORE, confidence=0.5), False),
    ],
)
def test_an_f_that_leads_to_a_high_g_was_there(noise: HeardNote, *, is_there: bool) -> None:
    """One that may as well be that where it is shorter than 30 ms; none after a high G, whose echo it may be."""
    assert is_sure(noise) is is_there
    assert not is_sure(noise, before=HIGH_G)


def test_a_wrong_gracenote_is_sure_likewise_but_none_that_is_too_many() -> None:
    """That is told by what it must be likelier by; and an F that was played for a high G may be that."""
    assert is_sure(NOISE, kind=FindingKind.WRONG_GRACENOTE)
    assert is_sure(F_BEFORE)
    assert not is_sure(F_BEFORE, kind=FindingKind.WRONG_GRACENOTE)
    assert not is_sure(NOISE, kind=FindingKind.EXTRA_GRACENOTE)


def test_a_sure_note_is_likelier_by_far_in_the_evidence_as_long_as_it_lasts() -> None:
    """And what it costs itself is left."""
    evidence = counted(costs_of_notes([HeardNote(0.0, 2.0, LOW_G)], 2.0))
    costs = evidence.sure_of([NOISE]).costs
    part = slice(round(NOISE.at_s / HOP_S), round(NOISE.stop_s / HOP_S))
    assert np.array_equal(costs[part, B], evidence.costs[part, B])
    others = [each for each in Note if each is not B]
    assert bool((costs[part, others] >= costs[part, B][:, np.newaxis] + SURE_NAME_NATS).all())
    assert np.array_equal(np.delete(costs, part, axis=0), np.delete(evidence.costs, part, axis=0))
