"""Navigation from the playing screen to the screens about crossings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from companion.schedule.crossing import NamedTransition, movement_near
from companion.sound.player import SilentPlayer
from companion.sound.settings import SoundSettings
from companion.window.core.actions import Action
from companion.window.core.screen import Screen, ScreenResult
from companion.window.crossing.crossing_screen import CrossingScreen
from companion.window.crossing.crossing_state import OPENING_SLOW_DOWN, Delay, noise_middle_s, open_crossing, update
from companion.window.crossing.map_screen import MapScreen
from companion.window.crossing.tune_map_screen import TuneMapScreen
from companion.window.play.play_screen import PlayScreen
from fingering.errors import UserError
from fingering.holes import Finger


def crossing_over(screen: PlayScreen, named: NamedTransition, delay: Delay | None = None) -> CrossingScreen:
    """A crossing screen to open over the playing screen, which lends its player meanwhile. Raises UserError."""
    sound = screen.state.sound
    state = replace(open_crossing(named, sound, delay), playing=True)
    return CrossingScreen(state, screen.lend(), lambda choose: MapScreen(choose, tuning=sound.tuning), screen.take_back)


def crossing_here(screen: PlayScreen) -> Screen | None:
    """The screen for the movement nearest to the present moment; None where nothing moves."""
    named = movement_near(screen.state.schedule, screen.position_s())
    return crossing_over(screen, named) if named else None


def map_over(screen: PlayScreen) -> Screen:
    """The screen with the map of every change of note."""
    return MapScreen(lambda named: crossing_over(screen, named), tuning=screen.state.sound.tuning)


def tune_map_over(screen: PlayScreen) -> Screen:
    """The screen with what to drill in the tune that plays. Raises UserError where nothing moves."""
    state = screen.state
    return TuneMapScreen(
        state.tune.title, state.schedule, lambda named: crossing_over(screen, named), state.sound.tuning
    )


def crossing_alone(
    named: NamedTransition, late: tuple[Finger, float] | None, slow_down: float | None = None
) -> CrossingScreen:
    """A crossing screen for a still picture: at its middle, as taught unless a finger is late. Raises UserError."""
    delay = Delay(*late) if late else None
    opened = open_crossing(named, SoundSettings(), delay, slow_down or OPENING_SLOW_DOWN)
    state = opened if late else update(opened, Action.FLIP, 0.0)
    return CrossingScreen(replace(state, position_s=noise_middle_s(state)), SilentPlayer(), lambda choose: map_alone())


def map_alone() -> MapScreen:
    """The map of every change of note for a still picture, from which nothing opens."""
    return MapScreen(lambda named: ScreenResult.STAY)


def tune_map_or_word(screen: PlayScreen) -> Screen | None:
    """The screen with what to drill in the tune that plays; where nothing moves, None and one line to the user."""
    try:
        return tune_map_over(screen)
    except UserError as error:
        screen.tell(str(error))
        return None


CROSSING_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.CROSSING: crossing_here, Action.MAP: map_over, Action.TUNE_MAP: tune_map_or_word}
)
