"""Screens of lessons, each in a state that a learner comes to."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from companion.lesson.model.steps import StepKind
from companion.lesson.progress.book import ProgressBook
from companion.lesson.steps.heard import Amiss, RoundHeard
from companion.lesson.steps.sitting import after
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.lesson.lesson_screen import LessonScreen
from companion.window.lesson.step_screen import StepScreen
from companion.window.lesson.step_state import RoundPhase
from companion.window.lesson.teaching import Teaching
from companion.window.lesson_navigation import lesson_over
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from tests.companion.window import scenes
from tests.companion.window.players import Clock

LONG = "Bar 12: between high G and low A the lower middle finger was 120 ms late; low G was heard, and then C."
FAILED = RoundHeard((Amiss(LONG, 12),))


def lesson() -> LessonScreen:
    """The lesson of the tune of these tests."""
    playing = PlayScreen(scenes.state(), SilentPlayer(Clock()), choose_tune, live=LiveInput(None, LiveSound(), Clock()))
    screen = lesson_over(playing, Teaching(ProgressBook(None)))
    assert screen
    return screen


def ordered() -> LessonScreen:
    """Some way down, with a line that says something."""
    screen = lesson()
    for action in (*[Action.TEMPO_DOWN] * 7, Action.STEP_LATER, Action.STEP_OUT, Action.STEP_ADD):
        screen.act(action)
    return screen


def step(kind: StepKind, *heard: RoundHeard, plays: bool = False) -> StepScreen:
    """The first step of a kind, after some rounds of it."""
    screen = lesson()
    ranks = [rank for rank, each in enumerate(screen.state.steps) if each.kind is kind]
    begun = screen.choose(ranks[0])
    assert isinstance(begun, StepScreen)
    for each in heard:
        begun.sitting = after(begun.sitting, each)
        begun.phase = RoundPhase.READING
    if plays:
        begun.act(Action.PLAY)
    return begun


def nothing_left() -> StepScreen:
    """All is done."""
    begun = step(StepKind.BY_HEART)
    begun.sitting = replace(begun.sitting, practice=None)
    return begun


def lesson_screens() -> Mapping[str, Callable[[], Screen]]:
    """All of them by name."""
    return {
        "lesson": lesson,
        "lesson in order": ordered,
        "step alone": partial(step, StepKind.EMBELLISHMENT),
        "step in its place": partial(step, StepKind.IN_PLACE, RoundHeard()),
        "step that failed": partial(step, StepKind.PHRASE_FREELY, FAILED),
        "step that failed again": partial(step, StepKind.WHOLE, FAILED, RoundHeard(), FAILED, FAILED),
        "step counted in": partial(step, StepKind.PHRASE, plays=True),
        "step by heart": partial(step, StepKind.BY_HEART),
        "step by heart plays": partial(step, StepKind.BY_HEART, plays=True),
        "step by heart heard": partial(step, StepKind.BY_HEART, FAILED),
        "nothing left": nothing_left,
    }
