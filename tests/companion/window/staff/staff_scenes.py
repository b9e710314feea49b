"""Screens on which a tune is played, with its staff, in every state that looks otherwise."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import copy
from functools import partial

from companion.window.classroom.class_screen import ClassScreen
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.lesson.step_screen import StepScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.takes.take_screen import TakeScreen
from tests.companion.window.classroom.class_scene import class_of
from tests.companion.window.lesson.lesson_scenes import lesson_screens
from tests.companion.window.staff.plain_staff import PlainStaff
from tests.companion.window.takes.reviewing import MANY_SLIPS, ONE_SLIP, THREE_SLIPS, Slips, reviewed
from tests.companion.window.tool_scenes import tool_screens

Playing = Callable[..., PlayScreen]


def on_staff(make: Callable[[], Screen]) -> Screen:
    """A screen, with its staff."""
    screen = make()
    assert isinstance(screen, PlayScreen | StepScreen | ClassScreen)
    stage = screen if isinstance(screen, PlayScreen) else screen.stage
    stage.staff = PlainStaff()
    return screen


def review_on_staff(slips: Slips, *actions: Action) -> TakeScreen:
    """A take in review, with the staff of what was asked, after some keys."""
    screen = copy(reviewed(slips))  # the same review is looked at without one elsewhere
    screen._staff, screen._view = PlainStaff(), None
    for action in actions:
        screen.act(action)
    return screen


def staff_screens(playing: Playing) -> Mapping[str, Callable[[], Screen]]:
    """All of them by name; playing: makes the playing screen."""
    without: dict[str, Callable[[], Screen]] = {
        "playing stopped": partial(playing, runs=False),
        "playing": partial(playing, 3.0),
        "counting in": partial(playing, 1.2, metronome=True),
        **tool_screens(playing),
        **{name: make for name, make in lesson_screens().items() if name.startswith("step")},
        "a class of 4": partial(class_of, 4),
        "a class of nobody": partial(class_of, 0),
        "a class that looks at its teacher": partial(class_of, 4, Action.HIDE),
    }
    return {
        **{f"{name}, a staff": partial(on_staff, make) for name, make in without.items()},
        "1 place, a staff": partial(review_on_staff, ONE_SLIP),
        "3 places, a staff": partial(review_on_staff, THREE_SLIPS),
        "3 places, the second, a staff": partial(review_on_staff, THREE_SLIPS, Action.TEMPO_DOWN),
        "3 places, heard mine, a staff": partial(review_on_staff, THREE_SLIPS, Action.HEAR_MINE),
        "3 places, heard right, a staff": partial(review_on_staff, THREE_SLIPS, Action.HEAR_RIGHT),
        "55 places, a staff": partial(review_on_staff, MANY_SLIPS, Action.ALL_PLACES),
    }
