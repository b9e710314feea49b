"""What the window knows and keeps of the learner who goes through a lesson."""

from __future__ import annotations

from dataclasses import dataclass, field

from companion.lesson.model.known import NOTHING_KNOWN, Known
from companion.lesson.model.steps import Lesson, Step, StepKey
from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.lesson import lesson_of
from companion.lesson.steps.sitting import Course, Sitting
from companion.score.model import Tune
from companion.window.live.second_hearing import HeardRun


@dataclass(slots=True)
class Teaching:
    """A learner's lessons while the window is open."""

    known: Known = NOTHING_KNOWN
    done: dict[str, frozenset[StepKey]] = field(default_factory=dict)

    @classmethod
    def open(cls) -> Teaching:
        """Of nobody in particular."""
        return cls()

    def course(self, tune: Tune) -> Course:
        """The lesson of a tune, and what the learner has done of it."""
        lesson = lesson_of(tune, plan_of(tune), self.known)
        return Course(lesson, self.done.get(tune.title, frozenset()))

    def save(self, lesson: Lesson) -> str:
        """Keep a lesson as a teacher has ordered it; returns where, in one line."""
        return f"not kept: {lesson.tune.title}"

    def keep(self, step: Step, heard: HeardRun, sitting: Sitting) -> None:
        """Keep what came of a round."""
        self.done[sitting.course.lesson.tune.title] = sitting.course.done
