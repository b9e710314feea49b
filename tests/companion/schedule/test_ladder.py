"""The tempo that rises while a stretch is repeated: by how much, how far, and when."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.schedule.practice.ladder import STEP, Climb, Ladder, goal_of, heard_tempo, step_up
from companion.schedule.timing import Timing
from companion.score.model import Tempo
from tests.companion.tune_building import notes, tune

TUNE = tune(notes("A c e a"), tempo=Tempo(Fraction(1, 4), 80.0))


def _heard(timing: Timing) -> float:
    return heard_tempo(TUNE, timing)


def test_from_slow_it_is_slowed_down_less() -> None:
    """Half of 80 is 40, and a step further 42: gracenotes come back to speed with the melody."""
    stepped = step_up(TUNE, Timing(slow_down=2.0))
    assert _heard(stepped) == pytest.approx(40.0 + STEP)
    assert stepped.beats_per_minute is None


def test_from_fewer_beats_a_minute_it_has_more() -> None:
    """At full speed."""
    stepped = step_up(TUNE, Timing(beats_per_minute=60.0))
    assert (stepped.beats_per_minute, stepped.slow_down) == (62.0, 1.0)


def test_the_last_step_ends_at_the_tunes_own_tempo() -> None:
    """However far it was; and there it stays, as it does above."""
    last = step_up(TUNE, Timing(beats_per_minute=79.0))
    assert last == Timing()
    assert step_up(TUNE, last) == last
    faster = Timing(beats_per_minute=90.0)
    assert step_up(TUNE, faster) == faster


@given(st.floats(1.0, 32.0), st.one_of(st.none(), st.floats(10.0, 400.0)))
def test_steps_lead_to_the_goal_and_never_past_it(slow_down: float, beats_per_minute: float | None) -> None:
    """From wherever it begins, each by STEP but the last."""
    timing = Timing(beats_per_minute=beats_per_minute, slow_down=slow_down)
    goal, begun = goal_of(TUNE), _heard(timing)
    for _ in range(int(max(0.0, goal - begun) / STEP) + 2):
        before, timing = _heard(timing), step_up(TUNE, timing)
        assert _heard(timing) == pytest.approx(before if before >= goal else min(before + STEP, goal))
    assert _heard(timing) == pytest.approx(max(goal, begun))


def _rises(ladder: Ladder, clean: bool = False) -> list[int]:
    """After which of the first eight rounds the tempo rises, asked many times within each."""
    climb, seen = Climb(), []
    for times in sorted([*range(9)] * 3):
        climb, rises = climb.after(times, ladder, clean=clean)
        seen += [times] if rises else []
    return seen


def test_it_rises_once_after_a_round() -> None:
    """After each, every fourth, each clean one; or never."""
    assert _rises(Ladder.EACH) == [1, 2, 3, 4, 5, 6, 7, 8]
    assert _rises(Ladder.FOURTH) == [4, 8]
    assert (_rises(Ladder.CLEAN), _rises(Ladder.CLEAN, clean=True)) == ([], [1, 2, 3, 4, 5, 6, 7, 8])
    assert _rises(Ladder.OFF) == []


def test_a_tune_that_was_taken_elsewhere_is_counted_from_there() -> None:
    """Rounds before do not make it rise."""
    climb, rises = Climb(3, 3).after(0, Ladder.FOURTH, clean=True)
    assert (climb, rises) == (Climb(), False)
    assert replace(climb, waited=3).after(1, Ladder.FOURTH, clean=True) == (Climb(1), True)
