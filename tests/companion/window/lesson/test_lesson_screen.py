"""The steps of a lesson as a list, as a teacher orders them, and as what a class is led through."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.score.model import Tune
from companion.window.classroom.class_screen import ClassScreen
from companion.window.classroom.plan import PlanItem
from companion.window.core.actions import Action
from companion.window.core.screen import ScreenResult
from companion.window.lesson.lesson_screen import LessonScreen
from tests.companion.listen.playing import tune_of
from tests.companion.window.lesson.learner import Learner

MUSIC = "A2{g}B2c2d2|e2f2e2d2|A2{g}B2c2d2|e2c2B2A2|"


def shown(opened: ClassScreen) -> list[PlanItem]:
    """The list at the side."""
    return list(opened._plan.items(opened.stage))


@pytest.fixture
def lesson(tmp_path: Path) -> LessonScreen:
    """The lesson of a tune of four bars."""
    return learner(tmp_path).lesson


def learner(folder: Path) -> Learner:
    """Before the list."""
    tune: Tune = tune_of(MUSIC)
    return Learner(tune, folder)


def names(lesson: LessonScreen) -> list[str]:
    """The steps, without their numbers."""
    return [row.words.partition(".  ")[2] for row in lesson.state.rows]


def test_a_step_is_moved_and_put_out_and_the_mark_goes_with_it(lesson: LessonScreen) -> None:
    first, second, third, *_ = names(lesson)
    lesson.act(Action.STEP_LATER)
    assert names(lesson)[:3] == [second, first, third]
    assert lesson.rank == 1
    lesson.act(Action.STEP_EARLIER)
    assert names(lesson)[:3] == [first, second, third]
    lesson.act(Action.STEP_OUT)
    assert names(lesson)[:2] == [second, third]
    assert lesson.state.changed


def test_what_nothing_repeats_cannot_be_added(lesson: LessonScreen) -> None:
    count = len(lesson.state.steps)
    lesson.act(Action.STEP_ADD)
    assert len(lesson.state.steps) == count
    assert "repeats nothing" in lesson.state.line


def test_the_line_says_the_plan_and_what_the_marked_step_wants(lesson: LessonScreen) -> None:
    assert lesson.state.line.startswith(f"Plan: {lesson.state.course.lesson.plan.line}.  0 of ")
    before = lesson.state.line
    lesson.act(Action.TEMPO_DOWN)
    assert lesson.state.line != before


def test_a_class_is_led_through_the_steps_from_the_marked_one_on(lesson: LessonScreen) -> None:
    """Page down leads on, and what was led on from is done; what plays is the step's own notes."""
    lesson.act(Action.TEMPO_DOWN)
    opened = lesson.act(Action.CLASS)
    assert isinstance(opened, ClassScreen)
    items = shown(opened)
    assert [rank for rank, item in enumerate(items) if item.current] == [1]
    assert opened.stage.state.span is not None
    opened.act(Action.PHRASE_ON)
    items = shown(opened)
    assert [rank for rank, item in enumerate(items) if item.current] == [2]
    assert [rank for rank, item in enumerate(items) if item.done] == [1]
    assert opened.act(Action.LEAVE) is ScreenResult.CLOSE
    opened.close()
