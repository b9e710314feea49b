"""Two whole lessons in a real window with a window manager, by keys and clicks alone."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from companion.lesson.steps.heard import RoundHeard
from companion.lesson.steps.sitting import after
from companion.window.core.actions import Action, Pick
from companion.window.core.display import Display, Print
from companion.window.core.marks import Rect
from companion.window.core.page import LEAST_TARGET_PX
from companion.window.lesson.lesson_screen import LessonScreen
from companion.window.lesson.step_screen import StepScreen
from companion.window.lesson.step_state import CLEAN, RoundPhase
from companion.window.lesson_navigation import lesson_over
from companion.window.play.play_screen import PlayScreen
from fingering.notes import Note
from tests.companion.window.desk import Desk
from tests.companion.window.standing import drawn, name_of, part_of, place_of, standing
from tests.companion.window.test_first_sessions import EIGHT, LITTLE, _at_home  # noqa: F401

pytestmark = pytest.mark.same_everywhere

MINE = "%abc-2.1\nX:1\nT:Two Low Notes\nM:2/4\nL:1/4\nQ:1/4=120\nK:HP\nA G|A G|A G|A2|\n"
SHOWN = "the-ropewalk-cat"


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    """A tune of two notes, which takes seconds."""
    path = tmp_path / "mine.abc"
    path.write_text(MINE)
    return path


def click(desk: Desk, place: Rect) -> None:
    """Click into a place, near its left end, where it begins in any state."""
    desk.click(place.x + LEAST_TARGET_PX / 4, place.y + place.height / 2)


def lesson_of_standing(name: str) -> tuple[PlayScreen, LessonScreen]:
    """The lesson over a tune that stands still."""
    tune = standing(name)
    lesson = lesson_over(tune)
    assert lesson
    return tune, lesson


def walk(desk: Desk, step: StepScreen, display: Display | None = None) -> int:
    """From the first step to the last with page down, each looked at; returns how many there were."""
    count = len(step.sitting.course.lesson.steps)
    for rank in range(count):
        assert f"step {rank + 1} of {count}" in step.state.place
        desk.wait_for(drawn(step, display))
        desk.press("Next")
        step.act(Action.STEP_ON)
    return count


def test_a_learner_goes_through_a_lesson_and_is_heard(managed_desk: Desk, mine: Path) -> None:
    """The list, each step to the whole by heart, and then the first one played on the keys and called clean."""
    desk = managed_desk
    with desk.running(str(mine)) as window:
        desk.wait_until_it_moves()
        desk.press("space", "Home")
        _, lesson = lesson_of_standing(str(mine))
        desk.press("Return")
        desk.wait_for(drawn(lesson))
        desk.press("Return")
        step = lesson.choose(0)
        assert isinstance(step, StepScreen)
        assert walk(desk, step) == len(lesson.state.steps)
        desk.press("Escape", "Return")
        again = lesson.choose(0)
        assert isinstance(again, StepScreen)
        desk.wait_for(drawn(again))
        play_a_round(desk, again)
        desk.press("Escape")
        desk.press("Escape")
        assert window.poll() is None


def play_a_round(desk: Desk, step: StepScreen) -> None:
    """The keys under the fingers play the two notes as their names are read, until it is called clean."""
    schedule, ends = step.stage.state.schedule, step.stage.state.ends
    assert ends
    notes = [event.note for event in schedule.events if ends.start_s <= event.start_s < ends.end_s]
    names = {note: name_of(step, note) for note in set(notes)}
    step.sitting, step.phase = after(step.sitting, RoundHeard()), RoundPhase.READING
    clean = part_of(step, CLEAN)
    desk.press("i")
    desk.hold(*EIGHT[:-1], *([LITTLE] if notes[0] is Note.LOW_G else []))
    click(desk, place_of(step, Action.PLAY))  # a press of space would let the thumb go
    for before, note in pairwise(notes):
        desk.wait_for(*names[note])
        if note is not before:
            (desk.hold if note is Note.LOW_G else desk.let_go)(LITTLE)
    desk.wait_for(*clean)
    desk.press("shift+space")
    desk.let_go(*EIGHT)


def test_a_teacher_leads_a_class_through_a_lesson(managed_desk: Desk) -> None:
    """In big print, with a step chosen by a click, and a presenter's remote."""
    desk, big = managed_desk, Display(introduced=True, print=Print.BIG)
    with desk.running("show", SHOWN) as window:
        desk.wait_until_it_moves()
        desk.press("space", "Home", "b")
        _, lesson = lesson_of_standing(SHOWN)
        desk.press("Return")
        desk.wait_for(drawn(lesson, big))
        click(desk, place_of(lesson, Pick(0), big))
        step = lesson.choose(0)
        assert isinstance(step, StepScreen)
        assert walk(desk, step, big) > 40
        desk.press("Escape")
        assert window.poll() is None
