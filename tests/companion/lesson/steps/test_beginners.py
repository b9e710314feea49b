"""A beginner goes through the lessons of all tunes, from the first step to the last."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from companion.lesson.model.known import Skill, SkillKind
from companion.lesson.model.steps import Lesson, StepKind
from companion.lesson.steps.asking import asked_tune, terms_of
from companion.lesson.steps.heard import RoundHeard, round_heard, round_refused
from companion.lesson.steps.practice import MISSES_TO_SLOW, Practice
from companion.lesson.steps.sitting import HOLDS_UP
from companion.listen.judgement import judge
from companion.score.bundled import real_tunes
from companion.score.model import Tune
from fingering.errors import UserError
from tests.companion.lesson.steps.courses import Way, go_through
from tests.companion.lesson.steps.tunes import all_tunes, lesson_named, of_kind
from tests.learners.beginner import Beginner, Slipped
from tests.learners.beginners_hands import played

MOST_DAYS = 365
MOST_ROUNDS_A_STEP = 60
"""In all days together, on an average of a lesson's steps."""

JUDGED_CLEAN, JUDGED_FAULTY = 211, 41
"""Every so manieth clean round, and faulty one, is heard by the judge itself."""

pytestmark = pytest.mark.same_everywhere  # it takes long, and works with numbers of ours alone

JIG = "The Ropewalk Cat"


def by_the_tempo(way: Way) -> None:
    """It came down after failures and up after clean rounds, within one step's rounds, and at no other time."""
    for before, clean, now in way.moves:
        if now.rounds != before.rounds + 1:
            continue  # begun again, after something smaller
        if now.rung > before.rung:
            assert clean
            assert before.in_a_row + 1 == before.needed
        elif now.rung < before.rung:
            assert not clean
            assert before.misses + 1 == MISSES_TO_SLOW
        elif not clean and before.rung > 0:
            assert before.misses + 1 < MISSES_TO_SLOW
        assert now.pace.speed <= now.step.goal.pace.speed


@pytest.mark.parametrize("tune", all_tunes(), ids=lambda tune: tune.title)
def test_every_step_of_every_lesson_is_done_in_the_end(tune: Tune) -> None:
    """By one who begins with nothing, twenty minutes a day; none goes on for ever, and the tempo is as it must be."""
    lesson = lesson_named(tune.title)
    beginner = Beginner(Random(tune.title))
    way = go_through(lesson, beginner, MOST_DAYS)
    assert way.course.is_over
    assert {step.key for step in lesson.steps} <= set(way.rounds)
    assert beginner.rounds <= MOST_ROUNDS_A_STEP * len(lesson.steps)
    by_the_tempo(way)


def test_tempos_fall_and_rise_and_what_is_too_much_is_helped() -> None:
    """In the lessons of our tunes all of it happens: slower, faster, something smaller first, back when it is due."""
    ways = [go_through(lesson_named(tune.title), Beginner(Random(7)), MOST_DAYS) for tune in real_tunes()]
    moves = [(now.rung - before.rung, clean) for way in ways for before, clean, now in way.moves]
    assert sum(by == 1 for by, _ in moves) > 100
    assert sum(by == -1 for by, _ in moves) > 100
    assert sum(way.smaller for way in ways) > 0
    assert all(way.reviewed for way in ways)


def test_what_was_weak_comes_back_on_the_day_when_it_is_due_and_not_before() -> None:
    """By the clock that is passed in: due after 1, 2, 4, ... days."""
    beginner = Beginner(Random(3))
    way = go_through(lesson_named(JIG), beginner, MOST_DAYS)
    days: dict[Skill, list[float]] = {}
    for day, skill in way.reviewed:
        days.setdefault(skill, []).append(day)
    again = [each for each in days.values() if len(each) > 1]
    assert again
    for each in again:
        assert sorted(set(each)) == each
    still = Beginner(Random(3))
    at_once = go_through(lesson_named(JIG), still, 1)
    assert at_once.reviewed == []


def test_who_comes_to_a_second_tune_has_a_shorter_lesson() -> None:
    """What was learnt in the first is not learnt again."""
    beginner = Beginner(Random(5))
    go_through(lesson_named(JIG), beginner, MOST_DAYS)
    known = beginner.known()
    second = "The Last Ferry to Tarrowick"
    beginners, later = lesson_named(second), lesson_named(second, known)
    assert len(later.steps) < len(beginners.steps)
    assert set(later.steps) <= set(beginners.steps)


def test_what_is_never_learnt_is_set_aside_and_comes_again() -> None:
    """All other steps are done, by one whose hand cannot do one doubling; each day it comes again, and the day ends."""
    lesson = lesson_named(JIG)
    skill = next(step.skill for step in of_kind(lesson, StepKind.EMBELLISHMENT) if step.what == "F doubling")
    assert skill is not None
    beginner = Beginner(Random(2), never=frozenset({skill}))
    way = go_through(lesson, beginner, 60)
    undone = [step for step in lesson.steps if step.key not in way.course.done]
    assert not way.course.is_over
    assert all(step.key in way.course.done for step in of_kind(lesson, StepKind.CROSSING))
    asked = [step for step in undone if step.skill == skill]
    assert {step.kind for step in asked} == {StepKind.EMBELLISHMENT, StepKind.IN_PLACE}
    assert all(way.course.aside[step.key] >= HOLDS_UP for step in asked)
    others = {step.skill for step in of_kind(lesson, StepKind.EMBELLISHMENT) if step.key in way.course.done}
    assert len(others) == len(of_kind(lesson, StepKind.EMBELLISHMENT)) - 1
    assert all(each is None or each.kind in SkillKind for each in others)


def the_judges_word(
    lesson: Lesson, practice: Practice, slipped: tuple[Slipped, ...], draw: int
) -> tuple[bool, RoundHeard]:
    """Whether a fault was made in a round that is played, and what the judge hears."""
    step, pace = practice.step, practice.pace
    take = played(lesson, step, pace, slipped, draw)
    try:
        judgement = judge(asked_tune(lesson, step), take.notes, terms=terms_of(lesson, step, pace))
    except UserError as error:
        return bool(take.made), round_refused(str(error), step)
    return bool(take.made), round_heard(step, judgement)


def test_the_judge_hears_what_the_beginner_slips() -> None:
    """Of a sample of all rounds, played by the simulator of learners: clean where nothing was amiss, else not."""
    told: list[tuple[bool, bool]] = []
    rounds: Counter[bool] = Counter()
    for tune in real_tunes():
        lesson = lesson_named(tune.title)

        def watch(practice: Practice, slipped: tuple[Slipped, ...], lesson: Lesson = lesson) -> None:
            rounds[bool(slipped)] += 1
            draw = rounds[bool(slipped)]
            if draw % (JUDGED_FAULTY if slipped else JUDGED_CLEAN) == 0:
                faulty, heard = the_judges_word(lesson, practice, slipped, draw)
                told.append((faulty, heard.clean))

        go_through(lesson, Beginner(Random(1)), MOST_DAYS, watch)
    assert len(told) > 30
    assert sum(faulty for faulty, _ in told) > 10
    assert sum(faulty is clean for faulty, clean in told) <= len(told) // 40
