"""What the window knows and keeps of the learner who goes through a lesson."""

from __future__ import annotations

from dataclasses import dataclass, field

from companion.lesson.model.known import NOTHING_KNOWN, Known
from companion.lesson.model.steps import Lesson, Step, StepKey
from companion.lesson.saved import find_lesson, save_lesson
from companion.lesson.steps.sitting import Course, Sitting
from companion.midi.takes.heading import content_hash
from companion.score.model import Tune
from companion.window.live.second_hearing import HeardRun
from fingering.errors import UserError


@dataclass(slots=True)
class Teaching:
    """A learner's lessons while the window is open. done: the steps that are done, by the tune's content."""

    known: Known = NOTHING_KNOWN
    done: dict[str, frozenset[StepKey]] = field(default_factory=dict)

    def course(self, tune: Tune) -> tuple[Course, str]:
        """The lesson of a tune and what the learner has done of it; and a line on what was wrong with its file."""
        found = find_lesson(tune, self.known)
        return Course(found.lesson, self.done.get(content_hash(tune), frozenset())), found.trouble

    def save(self, lesson: Lesson) -> str:
        """Keep a lesson as a teacher has ordered it; returns one line that says where, or why not."""
        try:
            return f"Saved as {save_lesson(lesson)}."
        except UserError as error:
            return f"Not saved: {error}."

    def keep(self, step: Step, heard: HeardRun, sitting: Sitting) -> None:
        """Keep what came of a round."""
        self.done[content_hash(sitting.course.lesson.tune)] = sitting.course.done
