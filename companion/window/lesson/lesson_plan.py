"""The steps of a lesson as what a class is led through."""

from __future__ import annotations

from dataclasses import replace

from companion.lesson.steps.practice import begin
from companion.lesson.steps.sitting import Course
from companion.window.classroom.plan import PlanItem
from companion.window.lesson.lesson_state import row_words
from companion.window.lesson.step_state import play_of_step
from companion.window.play.play_screen import PlayScreen


class LessonPlan:
    """The steps of a learner's course, or of a teacher's order. Each goes round until the teacher leads on.

    rank: of the step in hand, the first being 0.
    """

    def __init__(self, course: Course, rank: int) -> None:
        self._course = course
        self._led: frozenset[int] = frozenset()
        self.rank = rank

    def items(self, stage: PlayScreen) -> tuple[PlanItem, ...]:
        """Each step; those are done that were led on from, and those of the course."""
        return tuple(
            PlanItem(row_words(step), rank in self._led or step.key in self._course.done, rank == self.rank)
            for rank, step in enumerate(self._course.lesson.steps)
        )

    def go_to(self, stage: PlayScreen, rank: int) -> None:
        """Take a step in hand: its notes at its tempo, round and round."""
        if rank > self.rank:
            self._led |= {self.rank}
        self.rank = rank
        lesson = self._course.lesson
        state = play_of_step(lesson, begin(lesson.steps[rank]), stage.state)
        goes_on = stage.state.playing
        stage.resume(replace(state, once=False, playing=goes_on))
