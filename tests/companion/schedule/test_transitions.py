"""The transitions of a tune, what most needs drill first."""

from __future__ import annotations

import pytest

from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.schedule.transitions import bars_in_words, transitions
from fingering.chart import chart
from fingering.crossings.difficulty import difficulty
from fingering.crossings.transition import Transition
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import Note
from tests.companion.tune_building import notes, tune


def test_each_transition_is_counted_where_it_comes() -> None:
    """A e A e: low A to E three times over, back once less, each place the event that it leads to."""
    schedule = build_schedule(tune(notes("A e A e")), Timing())
    found = {(each.start, each.end): each for each in transitions(schedule)}
    assert found[Note.LOW_A, Note.E].events == (1, 3)
    assert found[Note.E, Note.LOW_A].count == 1
    assert len(found) == 2


def test_what_is_hard_and_often_comes_first() -> None:
    """Difficulty times count: two crossings from high A to E outweigh one from D, and one finger weighs nothing."""
    schedule = build_schedule(tune(notes("a e a e d e A e")), Timing())
    found = transitions(schedule)
    assert (found[0].start, found[0].end) == (Note.HIGH_A, Note.E)
    assert found[0].expected == pytest.approx(2 * difficulty(Transition.between(Note.HIGH_A, Note.E)))
    assert [each.expected for each in found] == sorted((each.expected for each in found), reverse=True)
    assert found[-1].expected == 0.0


def test_a_gracenote_is_fingered_from_what_it_decorates() -> None:
    """From E onto a G gracenote over C: the gracenote's own state, not the high G fingering."""
    schedule = build_schedule(tune(notes("e g:c")), Timing())
    into, out_of = (next(each for each in transitions(schedule) if each.end is note) for note in (Note.HIGH_G, Note.C))
    gracenote = HoleState.parse("x oxx xoox")
    assert into.transition == Transition(chart(Note.E), gracenote)
    assert out_of.transition == Transition(gracenote, chart(Note.C))
    assert out_of.difficulty == 0.0


def test_equal_notes_and_rests_are_no_transitions() -> None:
    """Nothing moves between two equal notes, and a rest is no note to come from."""
    assert transitions(build_schedule(tune(notes("A A z e")), Timing())) == ()


def test_a_repeat_counts_again() -> None:
    """What is played twice is drilled for twice."""
    schedule = build_schedule(tune(notes("d e"), order=(0, 0)), Timing())
    counts = {(each.start, each.end): each.count for each in transitions(schedule)}
    assert counts == {(Note.D, Note.E): 2, (Note.E, Note.D): 1}


def test_a_spread_out_of_reach_is_a_user_error() -> None:
    """As for one transition."""
    with pytest.raises(UserError, match="a spread"):
        transitions(build_schedule(tune(notes("d e")), Timing()), spread_ms=0.0)


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([3], "bar 3"),
        ([9, 3, 9], "bars 3, 9"),
        ([0], "pick-up"),
        ([0, 4], "pick-up, bar 4"),
        ([5, 4, 3, 2, 1], "bars 1, 2, 3, 4 …"),
        ([0, 1, 2, 3, 4], "pick-up, bars 1, 2, 3 …"),
    ],
)
def test_bars_are_told_as_a_piper_says_them(numbers: list[int], words: str) -> None:
    """What comes before the first bar line is the pick-up (common practice, no source), and no bar 0."""
    assert bars_in_words(numbers, 4) == words
