"""A teacher moves, drops, adds and changes steps; each time it is another lesson."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from companion.lesson.model.steps import Goal, Lesson, Pace
from companion.lesson.steps.editing import added, changed, dropped, moved
from fingering.errors import UserError
from tests.companion.lesson.steps.tunes import lesson_named

JIG = "The Ropewalk Cat"


def test_a_step_is_moved() -> None:
    """Down and up again."""
    lesson = lesson_named(JIG)
    other = moved(lesson, 0, 3)
    assert other.steps[:4] == (*lesson.steps[1:4], lesson.steps[0])
    assert moved(other, 3, 0) == lesson


def test_a_step_is_dropped_and_added() -> None:
    """Anywhere, at the end too."""
    lesson = lesson_named(JIG)
    step = lesson.steps[5]
    less = dropped(lesson, 5)
    assert step not in less.steps
    assert added(less, 5, step) == lesson
    assert added(less, len(less.steps), step).steps[-1] == step


def test_a_step_is_asked_for_otherwise() -> None:
    """Slower, or more often."""
    lesson = changed(lesson_named(JIG), 2, Pace(50.0, 2.0), Goal(5, 60.0))
    assert (lesson.steps[2].pace, lesson.steps[2].goal) == (Pace(50.0, 2.0), Goal(5, 60.0))
    assert lesson.steps[2].key == lesson_named(JIG).steps[2].key


@pytest.mark.parametrize("index", [-1, 10_000])
def test_a_step_that_is_none_is_refused(index: int) -> None:
    """By its number from 1, as people count."""
    lesson = lesson_named(JIG)
    changes: list[Callable[[], Lesson]] = [
        lambda: dropped(lesson, index),
        lambda: moved(lesson, index, 0),
        lambda: moved(lesson, 0, index),
        lambda: added(lesson, index, lesson.steps[0]),
    ]
    for change in changes:
        with pytest.raises(UserError, match=f"no step {index + 1}"):
            change()
