"""The steps of a lesson as a list, as data: which is marked, what is done, and how a teacher puts them in order."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.lesson.model.steps import Lesson, Step, StepKind
from companion.lesson.steps.sitting import Course
from companion.lesson.steps.words import done_words, wants_words
from companion.listen.model.words import bars_words
from companion.window.core.actions import Action
from companion.window.core.list_view import ListRow
from companion.window.core.wording import capital


@dataclass(frozen=True, slots=True)
class LessonState:
    """A learner's course through a lesson. rank: of the marked step. notice: one line to the user, "" for none.

    changed: whether a teacher has put the steps in another order, or some out, since they were saved.
    """

    course: Course
    rank: int
    notice: str = ""
    changed: bool = False

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps, in order."""
        return self.course.lesson.steps

    @property
    def marked(self) -> Step | None:
        """The marked step, None in a lesson without steps."""
        return self.steps[self.rank] if self.rank < len(self.steps) else None

    @property
    def rows(self) -> tuple[ListRow, ...]:
        """The steps as rows: what is played and how; where in the tune, and whether it is done."""
        return tuple(
            ListRow(f"{rank}.  {row_words(step)}", self._about(step)) for rank, step in enumerate(self.steps, start=1)
        )

    def _about(self, step: Step) -> str:
        where = bars_words(range(step.bars[0], step.bars[1] + 1))
        return f"{where}, done" if step.key in self.course.done else where

    @property
    def line(self) -> str:
        """The plan of the tune on one line with how far the learner has come, and what the marked step wants."""
        plan = self.course.lesson.plan
        done = sum(step.key in self.course.done for step in self.steps)
        told = f"Plan: {plan.line}.  {done} of {len(self.steps)} steps done."
        if self.notice:
            return f"{told}  {capital(self.notice)}"
        if self.marked is None:
            return told
        return f"{told}  {wants_words(self.marked)}{self._differences()}  Done: {done_words(self.marked)}."

    def _differences(self) -> str:
        """How the phrase of the marked step differs from the one that it is like."""
        step, lesson = self.marked, self.course.lesson
        if step is None:
            return ""
        phrase = next(
            (each for each in lesson.plan.phrases if each.differences and each.numbers(lesson.tune) == step.bars), None
        )
        if phrase is None:
            return ""
        return f" {phrase.name} is like {phrase.like}, but {'; '.join(each.words for each in phrase.differences)}."


_HOW = {
    StepKind.EMBELLISHMENT: ", alone",
    StepKind.IN_PLACE: ", in its place",
    StepKind.CROSSING: ", back and forth",
    StepKind.PHRASE_FREELY: ", out of time",
    StepKind.PHRASE: ", with the metronome",
}


def row_words(step: Step) -> str:
    """A step as a list names it: what is played, and how."""
    return f"{capital(step.what)}{_HOW.get(step.kind, '')}"


def opened_lesson(course: Course, notice: str = "") -> LessonState:
    """The list with the first step marked that is not done, and one line to the user."""
    steps = course.lesson.steps
    rank = next((rank for rank, step in enumerate(steps) if step.key not in course.done), 0)
    return LessonState(course, rank, notice)


def with_lesson(state: LessonState, lesson: Lesson, rank: int) -> LessonState:
    """The list of a changed lesson, with another step marked."""
    course = replace(state.course, lesson=lesson)
    return replace(state, course=course, rank=max(0, min(rank, len(lesson.steps) - 1)), changed=True, notice="")


def ordered(state: LessonState, action: Action) -> LessonState:
    """The list after a teacher moved the marked step, or put it out."""
    steps, rank = list(state.steps), state.rank
    if not steps:
        return state
    match action:
        case Action.STEP_EARLIER if rank > 0:
            steps[rank - 1], steps[rank] = steps[rank], steps[rank - 1]
            rank -= 1
        case Action.STEP_LATER if rank + 1 < len(steps):
            steps[rank + 1], steps[rank] = steps[rank], steps[rank + 1]
            rank += 1
        case Action.STEP_OUT:
            del steps[rank]
        case _:
            return state
    return with_lesson(state, replace(state.course.lesson, steps=tuple(steps)), rank)


def with_step(state: LessonState, step: Step) -> LessonState:
    """The list with another step behind the marked one."""
    steps = (*state.steps[: state.rank + 1], step, *state.steps[state.rank + 1 :])
    return with_lesson(state, replace(state.course.lesson, steps=steps), state.rank + 1)
