"""A learner at one step: the tempo follows what is heard, and every step ends."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as some

from companion.lesson.model.steps import Goal, Pace, Step, StepKind
from companion.lesson.steps.heard import Amiss, RoundHeard
from companion.lesson.steps.practice import (
    MISSES_AT_SLOWEST,
    MISSES_TO_SLOW,
    MOST_ROUNDS,
    Practice,
    StepStanding,
    after_round,
    begin,
    begin_again,
    is_done,
    resume,
)
from tests.companion.lesson.steps.test_goals import a_step
from tests.companion.lesson.steps.tunes import lesson_named

CLEAN = RoundHeard()
SLIP = RoundHeard((Amiss("bar 3: C for B", 3),))
PHRASE = a_step(StepKind.PHRASE, Pace(60.0), Goal(3, 76.0))


def after_all(practice: Practice, *rounds: RoundHeard) -> Practice:
    """After these rounds."""
    for each in rounds:
        practice = after_round(practice, each)
    return practice


def test_two_clean_rounds_raise_the_tempo() -> None:
    """One does not: it may have been luck."""
    start = begin(PHRASE)
    assert start.pace == Pace(60.0)
    assert after_all(start, CLEAN).pace == start.pace
    assert after_all(start, CLEAN, CLEAN).pace.speed > start.pace.speed
    assert after_all(start, CLEAN, SLIP, CLEAN).pace == start.pace


def test_two_failures_lower_the_tempo() -> None:
    """Also with a clean round between them."""
    start = begin(PHRASE)
    assert after_all(start, SLIP).pace == start.pace
    assert after_all(start, SLIP, SLIP).pace.speed < start.pace.speed
    assert after_all(start, SLIP, CLEAN, SLIP).pace.speed < start.pace.speed


def test_a_step_is_done_after_so_many_clean_rounds_in_a_row_at_the_goal() -> None:
    """Three times for a phrase, and not before; what is done stays so."""
    practice = begin(PHRASE)
    while not practice.at_goal:
        practice = after_round(practice, CLEAN)
    assert practice.pace == PHRASE.goal.pace
    assert not is_done(after_all(practice, CLEAN, CLEAN))
    assert not is_done(after_all(practice, CLEAN, CLEAN, SLIP, CLEAN, CLEAN))
    done = after_all(practice, CLEAN, CLEAN, CLEAN)
    assert is_done(done)
    assert after_round(done, SLIP) is done


def test_a_drill_rises_after_each_clean_round() -> None:
    """One round of it has the embellishment four times."""
    drill = a_step(StepKind.EMBELLISHMENT, Pace(80.0, 3.0), Goal(3, 80.0))
    assert after_all(begin(drill), CLEAN).pace.slow_down < 3.0


def test_too_many_failures_at_the_slowest_are_too_much() -> None:
    """After all tempos were tried, each twice."""
    practice = begin(PHRASE)
    rounds = MISSES_TO_SLOW * practice.rung + MISSES_AT_SLOWEST
    stuck = after_all(practice, *[SLIP] * rounds)
    assert after_all(practice, *[SLIP] * (rounds - 1)).standing is StepStanding.GOING
    assert stuck.standing is StepStanding.STUCK
    assert stuck.rung == 0
    assert len(stuck.lacking) == rounds


def test_slips_that_the_goal_allows_are_none() -> None:
    """The whole tune may have some."""
    whole = a_step(StepKind.WHOLE, Pace(60.0), Goal(1, 60.0, slips=1))
    assert is_done(after_round(begin(whole), SLIP))
    assert not is_done(after_round(begin(whole), RoundHeard(SLIP.amiss * 2)))


def test_who_comes_back_from_something_smaller_begins_at_the_slowest() -> None:
    """And who comes back another day, one tempo slower."""
    practice = after_all(begin(PHRASE), CLEAN, CLEAN)
    assert begin_again(practice).rung == 0
    assert resume(practice).rung == practice.rung - 1
    assert resume(begin_again(practice)).rung == 0


steps = some.sampled_from(lesson_named("The Ropewalk Cat").steps)


@given(steps, some.lists(some.booleans(), min_size=MOST_ROUNDS + 40, max_size=MOST_ROUNDS + 80))
def test_whatever_is_heard_a_step_ends_and_keeps_within_its_tempos(step: Step, clean: list[bool]) -> None:
    """Down after failures, up after clean rounds, never by more than one, and no step goes on for ever."""
    practice = begin(step)
    for each in clean:
        heard = CLEAN if each else RoundHeard(SLIP.amiss * (step.goal.slips + 1))
        now = after_round(practice, heard)
        assert 0 <= now.rung <= now.ladder.goal
        assert now.rung - practice.rung in ((0, 1) if each else (0, -1))
        practice = now
    assert practice.standing is not StepStanding.GOING
