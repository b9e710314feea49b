"""Where a room's sound changed, and no note was heard to begin."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.heard import HeardNote
from companion.hearing.takes.unnamed import UnnamedChanges
from fingering.notes import Note
from tests.companion.hearing.takes.said import HOP_S, costs_of_notes, evidence_of

pytestmark = pytest.mark.same_everywhere

STOP_S = 1.6
C, A, D = Note.C, Note.LOW_A, Note.D


def may_hold(notes: list[HeardNote], *changed_s: tuple[float, float]) -> bool:
    """Whether a gracenote may have begun unheard before the last note, where the sound changes from then to then."""
    changing = np.full(round(STOP_S / HOP_S), 12.0, np.float32)
    for begins_s, stops_s in changed_s:
        changing[round(begins_s / HOP_S) : round(stops_s / HOP_S)] = 0.0
    evidence = evidence_of(costs_of_notes(notes, STOP_S))
    return UnnamedChanges(evidence, changing, notes).hold_gracenote(notes[-1].at_s)


@pytest.mark.parametrize(
    ("changed_s", "held"),
    [
        ((0.955, 0.965), True),  # 40 ms before the first gracenote that was heard
        ((0.92, 0.93), False),  # 75 ms: no gracenote is as long
        ((0.985, 0.995), False),  # as it begins
        ((1.0, 1.04), False),  # as what sounded before it fades
    ],
)
def test_a_gracenote_may_have_begun_before_those_that_were_heard(changed_s: tuple[float, float], *, held: bool) -> None:
    """A movement of two, each 40 ms long: within it all that changes is theirs."""
    notes = [HeardNote(0.5, 1.0, C), HeardNote(1.0, 1.04, A), HeardNote(1.04, 1.08, D), HeardNote(1.08, STOP_S, A)]
    assert may_hold(notes, changed_s) is held


@pytest.mark.parametrize(("changed_s", "held"), [((1.047, 1.055), True), ((1.02, 1.03), False)])
def test_a_gracenote_may_have_begun_within_one_that_is_too_long(changed_s: tuple[float, float], *, held: bool) -> None:
    """Of three that were heard as one of 78 ms the last begins 50 ms after the first."""
    notes = [HeardNote(0.5, 1.0, C), HeardNote(1.0, 1.078, Note.HIGH_G), HeardNote(1.078, STOP_S, Note.F)]
    assert may_hold(notes, changed_s) is held


@pytest.mark.parametrize(
    ("earlier_s", "held"),
    [
        ((0.7, 0.705), False),
        ((0.55, 0.555), True),  # 50 ms after it began: its echo comes up
        ((0.9, 0.905), True),  # that may be the gracenote itself
    ],
)
def test_a_note_that_changes_as_it_goes_on_tells_of_no_gracenote(earlier_s: tuple[float, float], *, held: bool) -> None:
    """A C that changes 40 ms before its end, and earlier."""
    notes = [HeardNote(0.5, 1.0, C), HeardNote(1.0, STOP_S, A)]
    assert may_hold(notes, (0.955, 0.965), earlier_s) is held


def test_where_no_note_begins_nothing_is_known() -> None:
    notes = [HeardNote(0.1, STOP_S, C)]
    evidence = evidence_of(costs_of_notes(notes, STOP_S))
    changing = np.zeros(round(STOP_S / HOP_S), np.float32)
    assert not UnnamedChanges(evidence, changing, notes).hold_gracenote(1.0)
