"""The tunes that come with the program, and their lessons."""

from __future__ import annotations

from functools import cache

from companion.lesson.model.known import NOTHING_KNOWN, Known
from companion.lesson.model.phrases import TunePlan
from companion.lesson.model.steps import Lesson, Step, StepKind
from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.lesson import lesson_of
from companion.score.abc import read_abc
from companion.score.bundled import bundled_files
from companion.score.model import Tune


@cache
def all_tunes() -> tuple[Tune, ...]:
    """Every tune of every file, drills too."""
    return tuple(tune for file in bundled_files() for tune in read_abc(file).tunes)


def tune_named(title: str) -> Tune:
    """The tune of that title."""
    return next(tune for tune in all_tunes() if tune.title == title)


@cache
def plan_named(title: str) -> TunePlan:
    """The plan of the tune of that title."""
    return plan_of(tune_named(title))


@cache
def lesson_named(title: str, known: Known = NOTHING_KNOWN) -> Lesson:
    """The lesson of the tune of that title."""
    return lesson_of(tune_named(title), plan_named(title), known)


def of_kind(lesson: Lesson, kind: StepKind) -> list[Step]:
    """The steps of one kind."""
    return [step for step in lesson.steps if step.kind is kind]
