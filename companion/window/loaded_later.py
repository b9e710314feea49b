"""What is loaded after the first frame, which shows nothing of it: other screens, instruments, the ear, the sound.

To load it takes longer than all that comes before the first frame, and needs Python's lock much of the time: so it is
done before the tune starts, and never while one plays. What is asked for sooner, by a key, loads its own part itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from types import MappingProxyType

from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.play.play_screen import PlayScreen

Opener = Callable[[PlayScreen], Screen | None]


# By name, since nothing here uses them: what is imported is wherever it is asked for.
_THE_REST = (
    "companion.midi.takes.own_settings",
    "companion.sound.sounding_player",
    "companion.window.class_navigation",
    "companion.window.embellishment_navigation",
    "companion.window.lesson_navigation",
    "companion.window.live.input",
    "companion.window.live.instruments",
    "companion.window.live.key_caps",
    "companion.window.navigation",
    "companion.window.playing_navigation",
    "companion.window.rereading.rereading",
)


def load_the_rest() -> None:
    """Load it all. For a thread beside the window's."""
    for name in _THE_REST:
        import_module(name)


def _opener(action: Action) -> Opener:
    """Opens the screen of an action over the playing screen, loading it first if that was not done yet."""

    def open_screen(screen: PlayScreen) -> Screen | None:
        return all_navigation()[action](screen)

    return open_screen


def all_navigation() -> Mapping[Action, Opener]:
    """For each action that opens a screen over the playing screen, the function that makes that screen."""
    from companion.window.class_navigation import CLASS_NAVIGATION
    from companion.window.embellishment_navigation import EMBELLISHMENT_NAVIGATION
    from companion.window.lesson_navigation import LESSON_NAVIGATION
    from companion.window.navigation import CROSSING_NAVIGATION
    from companion.window.playing_navigation import PLAYING_NAVIGATION

    return {
        **CROSSING_NAVIGATION,
        **PLAYING_NAVIGATION,
        **EMBELLISHMENT_NAVIGATION,
        **LESSON_NAVIGATION,
        **CLASS_NAVIGATION,
    }


LATER_NAVIGATION: Mapping[Action, Opener] = MappingProxyType(
    {
        action: _opener(action)
        for action in (
            Action.CROSSING,
            Action.MAP,
            Action.TUNE_MAP,
            Action.FREE_PLAY,
            Action.INSTRUMENT,
            Action.TAKES,
            Action.EMBELLISHMENT,
            Action.CATALOGUE,
            Action.LESSON,
            Action.PROGRESS,
            Action.CLASS,
        )
    }
)
"""The function that opens a screen, by its action; known before any of these screens is loaded."""
