"""The steps of a lesson as a list: begin with one of them, or put them in another order."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from companion.lesson.model.steps import Step
from companion.lesson.steps.sitting import Course
from companion.window.core.actions import Action, Intent
from companion.window.core.hints import Group, KeyHint, KeyTable
from companion.window.core.list_screen import ListScreen, list_keys, moved
from companion.window.core.list_view import ListContents, list_picture
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.lesson.lesson_plan import LessonPlan
from companion.window.lesson.lesson_state import LessonState, opened_lesson, ordered, with_step

_ORDER: tuple[KeyHint[LessonState], ...] = (
    KeyHint(
        (Action.STEP_EARLIER,),
        lambda state, display: "this step earlier",
        "Moves the marked step up by one.",
        Group.LEARN,
    ),
    KeyHint(
        (Action.STEP_LATER,),
        lambda state, display: "this step later",
        "Moves the marked step down by one.",
        Group.LEARN,
    ),
    KeyHint(
        (Action.STEP_OUT,),
        lambda state, display: "this step out",
        "Leaves the marked step out of the lesson.",
        Group.LEARN,
    ),
    KeyHint(
        (Action.STEP_ADD,),
        lambda state, display: "add what is repeated",
        "What the tune repeats on its own screen becomes a step behind the marked one.",
        Group.LEARN,
    ),
    KeyHint(
        (Action.CLASS,),
        lambda state, display: "with a class",
        "Leads a class through these steps, from the marked one on.",
        Group.LEARN,
    ),
    KeyHint(
        (Action.LESSON_SAVE,),
        lambda state, display: "save, not saved yet" if state.changed else "save",
        "Writes these steps to a file beside the tune, which can be edited.",
        Group.LEARN,
    ),
)
LESSON_TABLE: KeyTable[LessonState] = list_keys("begin", "back to the tune", sheet=_ORDER)


class LessonScreen(ListScreen):
    """The steps of a lesson to choose from.

    begin: makes the screen of the marked step. save: keeps the lesson as a teacher has ordered it, and answers with
    the line that says where. repeated: what the tune repeats, as a step; None where that is nothing. classroom:
    makes the screen on which a class is led through the steps.
    """

    keys = LESSON_TABLE

    def __init__(
        self,
        state: LessonState,
        begin: Callable[[LessonScreen, int], Screen],
        save: Callable[[LessonState], str],
        repeated: Step | None,
        let_go: Callable[[], None],
        classroom: Callable[[LessonPlan], Screen],
    ) -> None:
        super().__init__(state.rank)
        self.state = state
        self._begin = begin
        self._save = save
        self._repeated = repeated
        self._let_go = let_go
        self._classroom = classroom

    def row_count(self) -> int:
        """How many steps there are."""
        return len(self.state.steps)

    def key_state(self) -> LessonState:
        """What the words of its keys are made from."""
        return self.state

    def choose(self, rank: int) -> ScreenResult | Screen:
        """Begin with a step."""
        if rank >= len(self.state.steps):
            return ScreenResult.STAY
        self._mark(rank)
        return self._begin(self, rank)

    def act(self, intent: Intent) -> ScreenResult | Screen:
        """Move along the steps, begin with one, put them in order, or leave."""
        match intent:
            case Action.STEP_EARLIER | Action.STEP_LATER | Action.STEP_OUT:
                self.state = ordered(self.state, intent)
                self.rank = self.state.rank
            case Action.CLASS if self.state.steps:
                return self._classroom(LessonPlan(self.state.course, self.rank))
            case Action.STEP_ADD if self._repeated:
                self.state = with_step(self.state, self._repeated)
                self.rank = self.state.rank
            case Action.STEP_ADD:
                self.state = replace(self.state, notice="The tune repeats nothing but all of itself.")
            case Action.LESSON_SAVE:
                self.state = replace(self.state, notice=self._save(self.state), changed=False)
            case Action() if intent not in (Action.LEAVE, Action.CHOOSE):
                self._mark(moved(self.rank, self.row_count(), intent))
            case _:
                return super().act(intent)
        return ScreenResult.STAY

    def come_back(self, course: Course) -> None:
        """A learner comes back from a step, having done what the course says."""
        self.state = replace(opened_lesson(course), changed=self.state.changed)
        self.rank = self.state.rank

    def picture(self, canvas: Canvas) -> Picture:
        """The list, with the plan of the tune and what the marked step wants above it."""
        title = self.state.course.lesson.tune.title or "Lesson"
        contents = ListContents(title, self.state.rows, self.rank, self.at_foot(canvas.display), self.state.line)
        return list_picture(contents, canvas)

    def close(self) -> None:
        """Let the tune beneath go on."""
        self._let_go()

    def _mark(self, rank: int) -> None:
        self.rank = rank
        self.state = replace(self.state, rank=rank, notice="")
