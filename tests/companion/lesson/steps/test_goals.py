"""The tempos between which a learner moves in a step."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as some

from companion.lesson.model.steps import Goal, Pace, Step, StepKind
from companion.lesson.steps.asking import timing_of
from companion.lesson.steps.goals import FLOOR, RUNGS_DOWN, ladder_of, usual_goal, usual_pace
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, SLOWEST
from tests.companion.lesson.steps.tunes import lesson_named, tune_named


def a_step(kind: StepKind, pace: Pace, goal: Goal) -> Step:
    """A step that is nothing but its tempos."""
    return Step(kind, "", None, (1, 2), pace.beats_per_minute, pace.slow_down, goal)


paces = some.builds(Pace, some.floats(*BEATS_PER_MINUTE_RANGE), some.floats(1.0, SLOWEST))


@given(some.sampled_from(StepKind), paces, paces)
def test_a_ladder_rises_to_the_goal_and_never_above_it(kind: StepKind, one: Pace, two: Pace) -> None:
    """Each tempo is faster than the one before, can be played, and the beginning is one of them."""
    begin, goal = sorted((one, two), key=lambda pace: pace.speed)
    ladder = ladder_of(a_step(kind, begin, Goal(1, goal.beats_per_minute, goal.slow_down)))
    assert ladder.paces[-1] == goal
    assert ladder.paces[ladder.begins] == (begin if begin.speed < goal.speed else goal)
    assert all(each.speed <= goal.speed for each in ladder.paces)
    assert all(before.speed < after.speed for before, after in pairwise(ladder.paces[: ladder.begins + 1]))
    for pace in ladder.paces:
        timing_of(pace)


def test_the_floor_is_twice_as_slow_as_the_beginning() -> None:
    """In time by the tempo, out of it by the slow-down."""
    in_time = ladder_of(a_step(StepKind.PHRASE, Pace(60.0), Goal(3, 80.0)))
    assert in_time.paces[0] == Pace(60.0 / FLOOR)
    assert in_time.begins == RUNGS_DOWN
    freely = ladder_of(a_step(StepKind.PHRASE_FREELY, Pace(80.0, 2.0), Goal(3, 80.0, 1.5)))
    assert freely.paces[0] == Pace(80.0, 2.0 * FLOOR)


def test_a_phrase_begins_at_sixty_or_slower() -> None:
    """A usual start with a metronome (common practice: the trade's facts)."""
    for title in ("The Ropewalk Cat", "The Keeper's Window", "The Schoolmistress of Tarrowick"):
        assert usual_pace(StepKind.PHRASE, tune_named(title)).beats_per_minute <= 60.0


@pytest.mark.parametrize(
    ("kind", "times"),
    [
        (StepKind.EMBELLISHMENT, 3),
        (StepKind.CROSSING, 3),
        (StepKind.PHRASE, 3),
        (StepKind.PART, 2),
        (StepKind.WHOLE, 1),
        (StepKind.BY_HEART, 1),
    ],
)
def test_the_longer_a_step_the_fewer_times_it_is_asked_for(kind: StepKind, times: int) -> None:
    """Three times for what is small, twice for a part, once for the whole: common practice, no source."""
    assert usual_goal(kind, tune_named("The Ropewalk Cat")).in_a_row == times


def test_phrases_and_drills_allow_no_slip() -> None:
    """The whole of two hundred notes allows a few, a part with its repeat one or two."""
    slips = {step.kind: step.goal.slips for step in lesson_named("The Slip in a Squall").steps}
    small = (StepKind.EMBELLISHMENT, StepKind.IN_PLACE, StepKind.CROSSING, StepKind.PHRASE_FREELY, StepKind.PHRASE)
    assert {slips[kind] for kind in (*small, StepKind.PAIR)} == {0}
    assert slips[StepKind.PART] == 2
    assert slips[StepKind.WHOLE] == 4
