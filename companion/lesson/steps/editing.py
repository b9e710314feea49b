"""What a teacher does with the steps of a lesson: moves, drops, adds and changes them; each gives another lesson."""

from __future__ import annotations

from dataclasses import replace

from companion.lesson.model.steps import Goal, Lesson, Pace, Step
from companion.lesson.steps.make import asked_at
from fingering.errors import UserError


def moved(lesson: Lesson, index: int, to: int) -> Lesson:
    """The lesson with the step of that index in another place. Raises UserError for an index that is none."""
    step = _step(lesson, index)
    _step(lesson, to)
    rest = [*lesson.steps[:index], *lesson.steps[index + 1 :]]
    return replace(lesson, steps=(*rest[:to], step, *rest[to:]))


def dropped(lesson: Lesson, index: int) -> Lesson:
    """The lesson without the step of that index. Raises UserError for an index that is none."""
    _step(lesson, index)
    return replace(lesson, steps=(*lesson.steps[:index], *lesson.steps[index + 1 :]))


def added(lesson: Lesson, index: int, step: Step) -> Lesson:
    """The lesson with one more step before the one of that index, at the end for as many as there are. Raises
    UserError."""
    if index != len(lesson.steps):
        _step(lesson, index)
    return replace(lesson, steps=(*lesson.steps[:index], step, *lesson.steps[index:]))


def changed(lesson: Lesson, index: int, pace: Pace, goal: Goal) -> Lesson:
    """The lesson in which the step of that index begins at another pace, or has another goal. Raises UserError."""
    step = asked_at(_step(lesson, index), pace, goal)
    return replace(lesson, steps=(*lesson.steps[:index], step, *lesson.steps[index + 1 :]))


def _step(lesson: Lesson, index: int) -> Step:
    count = len(lesson.steps)
    if not 0 <= index < count:
        remedy = f"choose 1 to {count}" if count else "add one first"
        raise UserError(f"the lesson has no step {index + 1}", remedy, lesson.tune.title)
    return lesson.steps[index]
