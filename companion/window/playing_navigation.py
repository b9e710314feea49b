"""Navigation from the playing screen to those about playing in: free play, instruments, takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from companion.files.folders import from_home, takes_folder
from companion.files.lines import one_line
from companion.midi.takes.reading import Listing, Take, list_takes, read_take
from companion.schedule.crossing import NamedTransition
from companion.sound.player import Player
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.crossing.crossing_screen import CrossingScreen
from companion.window.crossing.crossing_state import open_crossing, update
from companion.window.crossing.map_screen import MapScreen
from companion.window.play.free_screen import FreeScreen
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import open_take
from companion.window.takes.takes_screen import Listable, TakesScreen
from companion.window.written_navigation import written_piece, written_take
from fingering.errors import UserError


def take_over(screen: PlayScreen, take: Take) -> TakeScreen:
    """A screen that plays back a take, over the playing screen, which lends its player meanwhile."""
    player = screen.lend()
    sound = screen.state.sound

    def crossing(named: NamedTransition, slow_down: float, lent: Player, let_go: Callable[[], None]) -> CrossingScreen:
        """To be drilled, so it is played clean."""
        clean = update(open_crossing(named, sound, slow_down=slow_down), Action.FLIP, 0.0)
        state = replace(clean, playing=True)
        return CrossingScreen(state, lent, lambda choose: MapScreen(choose, tuning=sound.tuning), let_go)

    state = open_take(take, (screen.state.tune, *screen.state.tunes))
    state = replace(state, strictness=screen.state.ear.strictness)
    return TakeScreen(state, player, screen.take_back, crossing, screen.own_settings, screen.staff)


def _written_over(screen: PlayScreen, chosen: Listable) -> Screen | None:
    screen.live.finish_takes()
    try:
        return written_take(screen, chosen if isinstance(chosen, Take) else read_take(chosen.path))
    except UserError as error:
        screen.tell(str(error))
        return None


def _read_over(screen: PlayScreen, chosen: Listable) -> TakeScreen | None:
    screen.live.finish_takes()
    try:
        return take_over(screen, chosen if isinstance(chosen, Take) else read_take(chosen.path))
    except UserError as error:
        screen.tell(str(error))
        return None


def takes_over(screen: PlayScreen) -> Screen | None:
    """The screen with the list of takes; None and one line to the user where their folder cannot be read."""
    screen.listen_in()  # the key before may have ended a take in this very frame
    screen.live.finish_takes()
    folder, unkept = takes_folder(), screen.live.unkept
    try:
        listing = list_takes(folder)
    except UserError as error:
        if not unkept:
            screen.tell(f"{error.what}; {error.remedy}")
            return None
        listing = Listing((), (UserError(error.what, error.remedy),))  # where that is, the list says below
    return TakesScreen(
        listing,
        one_line(from_home(folder)),
        lambda take: _read_over(screen, take),
        unkept,
        lambda take: _written_over(screen, take),
    )


def free_play(screen: PlayScreen) -> Screen:
    """Free play, from which what was played can be written down."""
    return FreeScreen(screen, written_piece)


PLAYING_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.FREE_PLAY: free_play, Action.INSTRUMENT: InstrumentScreen, Action.TAKES: takes_over}
)
