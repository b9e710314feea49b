"""The ways from the playing screen to those about crossings, and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from companion.schedule.crossing import NamedTransition, movement_near
from companion.window.actions import Action
from companion.window.crossing_screen import CrossingScreen
from companion.window.crossing_state import Delay, open_crossing
from companion.window.map_screen import MapScreen
from companion.window.play_screen import PlayScreen
from companion.window.screen import Screen
from companion.window.tune_map_screen import TuneMapScreen
from fingering.errors import UserError


def crossing_over(screen: PlayScreen, named: NamedTransition, delay: Delay | None = None) -> CrossingScreen:
    """The crossing screen over the playing screen, which lends its player meanwhile. Raises UserError."""
    sound = screen.state.sound
    state = replace(open_crossing(named, sound, delay), playing=True)
    return CrossingScreen(state, screen.lend(), lambda choose: MapScreen(choose, tuning=sound.tuning), screen.take_back)


def crossing_here(screen: PlayScreen) -> Screen | None:
    """The crossing of the movement around the present moment; none where nothing moves."""
    named = movement_near(screen.state.schedule, screen.position_s())
    return crossing_over(screen, named) if named else None


def map_over(screen: PlayScreen) -> Screen:
    """The map of all pairs of notes."""
    return MapScreen(lambda named: crossing_over(screen, named), tuning=screen.state.sound.tuning)


def tune_map_over(screen: PlayScreen) -> Screen | None:
    """What to drill in the tune that plays; one line to the user where there is nothing."""
    state = screen.state
    try:
        return TuneMapScreen(
            state.tune.title, state.schedule, lambda named: crossing_over(screen, named), state.sound.tuning
        )
    except UserError as error:
        screen.tell(str(error))
        return None


DOORS: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.CROSSING: crossing_here, Action.MAP: map_over, Action.TUNE_MAP: tune_map_over}
)
