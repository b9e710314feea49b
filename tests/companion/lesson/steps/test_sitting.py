"""A learner's way through a lesson: what is next, what is too much, and what comes back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.lesson.model.known import Known
from companion.lesson.model.steps import Lesson, Step, StepKey, StepKind
from companion.lesson.steps.heard import Amiss, RoundHeard
from companion.lesson.steps.practice import MOST_ROUNDS
from companion.lesson.steps.sitting import HOLDS_UP, MOST_DUE, Course, Sitting, after, leave, sit_down
from tests.companion.lesson.steps.tunes import lesson_named, of_kind

JIG = "The Ropewalk Cat"
CLEAN = RoundHeard()


def amiss(step: Step, count: int = 1) -> RoundHeard:
    """A round of a step in which nothing but the place was wrong."""
    return RoundHeard((Amiss("amiss", step.bars[0]),) * (count + step.goal.slips))


def in_hand(sitting: Sitting) -> Step:
    """The step in hand."""
    assert sitting.practice is not None
    return sitting.practice.step


def until_next(sitting: Sitting, heard: RoundHeard) -> Sitting:
    """Rounds that are heard so, until another step is in hand."""
    step = in_hand(sitting)
    for _ in range(MOST_ROUNDS + 1):
        sitting = after(sitting, heard)
        if sitting.practice is None or sitting.practice.step != step:
            return sitting
    raise AssertionError("a step goes on for ever")


def at(lesson: Lesson, step: Step) -> Course:
    """A course in which all before a step is done."""
    before = lesson.steps[: lesson.steps.index(step)]
    return Course(lesson, frozenset(each.key for each in before))


def test_who_plays_all_clean_goes_through_the_lesson_in_its_order() -> None:
    """From the first step to the last."""
    lesson = lesson_named(JIG)
    sitting = sit_down(Course(lesson))
    steps = []
    while sitting.practice is not None:
        steps.append(in_hand(sitting))
        sitting = until_next(sitting, CLEAN)
    assert tuple(steps) == lesson.steps
    assert sitting.course.is_over
    assert after(sitting, CLEAN) is sitting


def test_a_sitting_begins_with_the_first_step_that_is_not_done() -> None:
    """What was done is not asked for again."""
    lesson = lesson_named(JIG)
    assert in_hand(sit_down(at(lesson, lesson.steps[7]))) == lesson.steps[7]


def test_what_is_lacking_in_a_phrase_comes_first_as_a_drill() -> None:
    """And then the phrase again, at its slowest."""
    lesson = lesson_named(JIG)
    phrase = of_kind(lesson, StepKind.PHRASE)[0]
    sitting = sit_down(at(lesson, phrase))
    drill = of_kind(lesson, StepKind.EMBELLISHMENT)[1]
    sitting = until_next(sitting, RoundHeard((Amiss("the C doubling", phrase.bars[0], drill.skill),)))
    assert (in_hand(sitting).kind, in_hand(sitting).skill) == (StepKind.EMBELLISHMENT, drill.skill)
    assert "first" in sitting.said
    back = until_next(sitting, CLEAN)
    assert in_hand(back) == phrase
    assert back.practice is not None
    assert back.practice.rung == 0


def test_a_phrase_without_one_thing_that_lacks_is_halved() -> None:
    """The half in which more was amiss; no half is done in the lesson's name."""
    lesson = lesson_named(JIG)
    phrase = of_kind(lesson, StepKind.PHRASE)[1]
    heard = RoundHeard((Amiss("amiss", phrase.bars[1]),))
    sitting = until_next(sit_down(at(lesson, phrase)), heard)
    half = in_hand(sitting)
    assert half.kind is StepKind.PHRASE
    assert half.bars == (phrase.bars[1], phrase.bars[1])
    assert half.goal.pace.speed == phrase.pace.speed
    assert phrase.stretch is not None
    assert half.stretch is not None
    assert set(half.stretch.notes) < set(phrase.stretch.notes)
    assert until_next(sitting, CLEAN).course.done == sitting.course.done


def test_what_never_succeeds_is_set_aside_and_holds_up_what_contains_it() -> None:
    """It comes first in the next sitting, and from its second time aside on, last."""
    lesson = lesson_named(JIG)
    phrase = of_kind(lesson, StepKind.PHRASE)[1]
    course = at(lesson, phrase)
    for times in range(1, HOLDS_UP + 1):
        sitting = sit_down(course)
        while phrase.key not in sitting.course.aside or sitting.course.aside[phrase.key] < times:
            sitting = until_next(sitting, amiss(in_hand(sitting)))
        assert phrase.what in sitting.said
        pair = next(step for step in of_kind(lesson, StepKind.PAIR) if phrase.what[-1] in step.what)
        assert (pair in (in_hand(sitting), *sitting.ahead)) is (times == HOLDS_UP)
        course = leave(sitting)
    assert next(iter(Course(lesson, course.done, {phrase.key: 1}).left())) == phrase
    assert list(course.left())[-1] == phrase


def test_a_sitting_in_which_all_fails_ends() -> None:
    """Each step is set aside once, and nothing loops."""
    lesson = lesson_named(JIG)
    sitting = sit_down(Course(lesson))
    rounds = 0
    while sitting.practice is not None:
        sitting = after(sitting, amiss(in_hand(sitting)))
        rounds += 1
    assert rounds < 100 * len(lesson.steps)
    assert sitting.course.aside
    assert set(sitting.course.aside.values()) == {1}


def test_what_is_due_again_comes_first_in_a_sitting() -> None:
    """A few drills of what the tune asks for, nearer to their speed than new ones; not what is due in other tunes."""
    lesson = lesson_named(JIG)
    drills = of_kind(lesson, StepKind.EMBELLISHMENT)
    due = frozenset(step.skill for step in drills if step.skill is not None)
    course = Course(lesson, frozenset(step.key for step in lesson.steps))
    sitting = sit_down(course, Known(due, due))
    warm = [in_hand(sitting), *sitting.ahead]
    assert len(warm) == MOST_DUE
    assert {step.skill for step in warm} <= due
    assert all(step.slow_down < drills[0].slow_down for step in warm)
    assert sit_down(course, Known(due)).practice is None


def test_a_step_goes_on_where_it_was_left() -> None:
    """A tempo slower, also where something smaller was in hand; a step that a teacher has changed begins anew."""
    lesson = lesson_named(JIG)
    phrase = of_kind(lesson, StepKind.PHRASE)[0]
    sitting = sit_down(at(lesson, phrase))
    for _ in range(4):
        sitting = after(sitting, CLEAN)
    assert sitting.practice is not None
    course = leave(sitting)
    again = sit_down(course)
    assert again.practice is not None
    assert again.practice.rung == sitting.practice.rung - 1
    smaller = until_next(sit_down(course), RoundHeard((Amiss("amiss", phrase.bars[1]),)))
    later = sit_down(leave(smaller))
    assert in_hand(later) == in_hand(smaller)
    assert [each.step for each in later.waiting] == [phrase]
    changed = replace(phrase, beats_per_minute=phrase.beats_per_minute - 5.0)
    steps = tuple(changed if step == phrase else step for step in lesson.steps)
    anew = sit_down(replace(course, lesson=replace(lesson, steps=steps)))
    assert anew.practice is not None
    assert anew.practice.pace == changed.pace


def test_what_is_done_can_be_kept_as_text() -> None:
    """Each step of a lesson is known again by its line; other lines are refused."""
    keys = [step.key for step in lesson_named(JIG).steps]
    lines = [key.text for key in keys]
    assert len(set(lines)) == len(lines)
    assert [StepKey.from_text(line) for line in lines] == keys
    assert "phrase, 0-2" in lines
    assert "embellishment, 2-2, gfg>f" in lines
    for line in ("", "phrase", "dance, 1-2", "phrase, 1", "phrase, 1-2, g>A, x"):
        with pytest.raises(ValueError):  # noqa: PT011 - whichever part of it is none
            StepKey.from_text(line)
