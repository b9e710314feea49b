"""What counts as told: the right kind at the right note, or what describes it as truly."""

from __future__ import annotations

import pytest

from companion.listen.model.findings import Finding, FindingKind
from tests.learners.learner import Made
from tests.learners.score import is_its_stop, is_told_by


def finding(kind: FindingKind, played: int, at_s: float = 9.0) -> Finding:
    """A finding at a played note."""
    return Finding(kind, at_s, 1, played, played, "", "", (), None, "", "", None)


def made(kind: FindingKind, *also: FindingKind) -> Made:
    """A fault made to the fifth played note."""
    return Made(kind, 9.0, 5, also=frozenset(also))


@pytest.mark.parametrize("kind", FindingKind)
def test_the_right_kind_at_the_right_note_tells_a_fault(kind: FindingKind) -> None:
    """Whenever it is told."""
    assert is_told_by(made(kind), finding(kind, 5, 12.0))


def test_the_right_kind_at_the_next_note_does_not() -> None:
    """However near in time."""
    assert not is_told_by(made(FindingKind.WRONG_NOTE), finding(FindingKind.WRONG_NOTE, 6))


def test_what_is_played_between_two_notes_may_be_told_at_either() -> None:
    """At its own time."""
    assert is_told_by(made(FindingKind.EXTRA_NOTE), finding(FindingKind.EXTRA_NOTE, 4, 9.1))
    assert not is_told_by(made(FindingKind.EXTRA_NOTE), finding(FindingKind.EXTRA_NOTE, 4, 9.3))


@pytest.mark.parametrize(("played", "told"), [(3, False), (4, True), (5, True), (6, False)])
def test_a_late_note_may_be_told_as_an_uneven_pair(played: int, told: bool) -> None:
    """The pair that it ends or begins; a pair has its first note's number."""
    assert is_told_by(made(FindingKind.LATE), finding(FindingKind.POINTING, played)) is told


@pytest.mark.parametrize(("played", "told"), [(4, False), (5, True), (6, True), (7, False)])
def test_an_uneven_pair_may_be_told_as_a_late_note_of_it(played: int, told: bool) -> None:
    """Either note."""
    assert is_told_by(made(FindingKind.POINTING), finding(FindingKind.LATE, played)) is told


def test_an_equally_true_reading_counts_at_the_same_note() -> None:
    """A gracenote left out between two equal notes leaves one note, which may be told as a note left out."""
    merged = made(FindingKind.MISSING_GRACENOTE, FindingKind.MISSING_NOTE)
    assert is_told_by(merged, finding(FindingKind.MISSING_NOTE, 5))
    assert not is_told_by(merged, finding(FindingKind.MISSING_NOTE, 4))
    assert not is_told_by(made(FindingKind.MISSING_GRACENOTE), finding(FindingKind.MISSING_NOTE, 5))


def test_which_of_several_equal_notes_was_begun_again_nobody_can_hear() -> None:
    """Any of them is told as truly, however long after."""
    again = Made(FindingKind.RESTART, 9.0, 5, also_at=frozenset({4, 6}))
    assert [is_told_by(again, finding(FindingKind.RESTART, played, 12.0)) for played in (3, 4, 5, 6, 7)] == [
        False,
        True,
        True,
        True,
        False,
    ]


@pytest.mark.parametrize(("ended_s", "stopped", "true"), [(9.1, True, True), (9.2, True, False), (9.1, False, False)])
def test_the_silence_that_a_fault_began_with_is_true_besides(ended_s: float, stopped: bool, true: bool) -> None:
    """Where there was one, and at its time; it does not tell the fault."""
    again = Made(FindingKind.RESTART, 9.0, 5, stopped=stopped)
    silence = Finding(FindingKind.BREAK, ended_s - 0.5, 1, 5, 5, "", "", (), 500.0, "", "", None)
    assert is_its_stop(again, silence) is true
    assert not is_told_by(again, silence)
