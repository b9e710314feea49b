"""Navigation from the playing screen to the lesson of its tune, and to what has become of the learner's practice."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from companion.files.folders import takes_folder
from companion.files.lines import one_line
from companion.lesson.progress.account import Account
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.earlier import files_to_take_in, take_in_earlier
from companion.lesson.steps.sitting import Sitting, sit_down
from companion.window.class_navigation import class_over
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.lesson.lesson_plan import LessonPlan
from companion.window.lesson.lesson_screen import LessonScreen
from companion.window.lesson.lesson_state import LessonState, opened_lesson
from companion.window.lesson.repeated import repeated_step
from companion.window.lesson.step_screen import StepScreen
from companion.window.lesson.step_state import at_step, play_of_step
from companion.window.lesson.teaching import Teaching, local_now
from companion.window.navigation import crossing_here
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import PlayState
from companion.window.progress.progress_screen import ProgressScreen

NOTHING_TO_LEARN = "this tune has no notes to be learnt"

_STAGE_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.CROSSING: crossing_here, Action.INSTRUMENT: InstrumentScreen}
)


def lesson_over(screen: PlayScreen, teaching: Teaching | None = None) -> LessonScreen | None:
    """The lesson of the tune over its playing screen, which lends player and ear; afterwards it stands as it stood.

    teaching: what is known and kept of the learner, made here by default. None, and one line to the user, where the
    tune has no notes.
    """
    tune = screen.state.tune
    if not screen.state.schedule.events:
        screen.tell(NOTHING_TO_LEARN)
        return None
    teaching = teaching or Teaching.at_home(screen.live.learner)
    going_on = screen.state.playing
    player = screen.lend()
    player.pause()
    repeated = repeated_step(tune, screen.state.schedule, screen.state.stretch)

    def let_go() -> None:
        teaching.close()
        screen.resume(replace(screen.state, playing=going_on))

    def begin(shown: LessonScreen, rank: int) -> Screen:
        course = shown.state.course
        is_next = rank == opened_lesson(course).rank
        sitting = sit_down(course, teaching.known) if is_next else at_step(course, rank)
        return step_over(screen, shown, sitting if sitting.practice else at_step(course, rank), teaching)

    def save(state: LessonState) -> str:
        return teaching.save(state.course.lesson)

    course, trouble = teaching.course(tune)

    def classroom(plan: LessonPlan) -> Screen:
        opened = class_over(screen, plan)
        plan.go_to(opened.stage, plan.rank)
        return opened

    return LessonScreen(opened_lesson(course, trouble), begin, save, repeated, let_go, classroom)


def step_over(screen: PlayScreen, shown: LessonScreen, sitting: Sitting, teaching: Teaching) -> StepScreen:
    """A step over the list of its lesson, played and heard by the player and the ear of the playing screen."""
    assert sitting.practice
    player, lent = screen.lend(), screen.state
    player.pause()
    state = play_of_step(sitting.course.lesson, sitting.practice, lent)
    stage = PlayScreen(state, player, screen.chooser, _STAGE_NAVIGATION, screen.live, staff=screen.staff)

    def let_go(last: PlayState, after: Sitting) -> None:
        player.pause()
        screen.live.forget_beside()
        screen.guest = None
        levels = lent.sound  # a step sets these two by itself
        sound = replace(last.sound, metronome_level=levels.metronome_level, chanter_level=levels.chanter_level)
        screen.state = replace(screen.state, sound=sound, live=last.live, touch=last.touch, playing=False)
        shown.come_back(after.course)

    step = StepScreen(sitting, stage, teaching.keep, let_go)
    screen.guest = step
    return step


def progress_over(screen: PlayScreen) -> ProgressScreen:
    """The account of the learner's practice; the tune stands still meanwhile, and goes on as it stood afterwards."""
    going_on = screen.state.playing
    screen.lend().pause()
    book, learner = ProgressBook.at_home(), screen.live.learner
    files = files_to_take_in(book, takes_folder(), local_now()) if book.is_kept else ()

    def hear_earlier() -> Account:
        take_in_earlier(book, learner, files, screen.own_settings, local_now())
        return book.account(learner, local_now())

    def let_go() -> None:
        book.close()  # what is still heard of earlier takes is heard again the next time
        screen.resume(replace(screen.state, playing=going_on))

    trouble = one_line(str(book.trouble)) if book.trouble else ""
    return ProgressScreen(book.account(learner, local_now()), trouble, hear_earlier if files else None, let_go)


LESSON_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.LESSON: lesson_over, Action.PROGRESS: progress_over}
)
