"""Builds the window from its parts and runs it."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from companion.files.folders import data_folder
from companion.files.signals import signals_held
from companion.midi.maps.keys import Touch
from companion.midi.ports.driver import Backend
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import OpenedPlayer, SilentPlayer, open_player
from companion.sound.settings import SoundSettings
from companion.window.core.display import Display
from companion.window.core.screen import Screen
from companion.window.live.ear import EarSettings
from companion.window.live.input import LiveInput
from companion.window.live.instruments import Instruments, WantedOut
from companion.window.live.sound import LiveSettings
from companion.window.navigation import DOORS
from companion.window.play.fit_screen import FitScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state, respan
from companion.window.play.preferences import Preferences, preferences_path, write_preferences
from companion.window.play.tunes_screen import TunesScreen
from companion.window.playing_navigation import PLAYING_DOORS
from companion.window.shell import Shell, WindowSize
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Wishes:
    """What is to be played in on, and how it sounds. None: the port used last, no keys, no port to send to."""

    port: str | None = None
    touch: Touch | None = None
    live: LiveSettings = field(default_factory=LiveSettings)
    out_port: str | None = None
    backend: Backend = Backend.SYSTEM
    ear: EarSettings = field(default_factory=EarSettings)


@dataclass(frozen=True, slots=True)
class Opening:
    """How the window opens: its shelf of tunes and the first one, its settings, and where the tune stands.

    at: from a tune and its schedule to seconds, None for the start. notice: one line to the user, "" for none. wishes:
    what is to be played in on. over: a screen to open at once over the playing screen. refit: reads a tune again with
    the transposition that fits the chanter, None where that is not offered.
    """

    shelf: tuple[Tune, ...]
    tune: Tune
    timing: Timing = field(default_factory=Timing)
    sound: SoundSettings = field(default_factory=SoundSettings)
    display: Display = field(default_factory=Display)
    size: WindowSize = field(default_factory=WindowSize)
    at: Callable[[Tune, Schedule], float] | None = None
    playing: bool = True
    notice: str = ""
    wishes: Wishes = field(default_factory=Wishes)
    over: Callable[[PlayScreen], Screen] | None = None
    refit: Callable[[Tune], Tune] | None = None


class Keeper:
    """Writes the settings down whenever they change, so that no crash takes them; says once if it cannot."""

    def __init__(self, path: Path, tell: Callable[[str], None]) -> None:
        self._path = path
        self._tell = tell
        self._kept: Preferences | None = None

    def keep(self, preferences: Preferences) -> None:
        """Write `preferences` if they differ from the last ones. The first ones are as they were read."""
        if self._kept is not None and preferences != self._kept:
            try:
                write_preferences(preferences, self._path)
            except UserError as error:
                self._tell(str(error))
        self._kept = preferences


Refit = Callable[[Tune], Tune]


def choose_tune(screen: PlayScreen, refit: Refit | None = None) -> TunesScreen:
    """The list of tunes over a playing screen."""
    state = screen.state
    current = next((rank for rank, tune in enumerate(state.shelf) if tune is state.tune), 0)
    return TunesScreen(state.shelf, current, screen.act, lambda tune: fit_question(screen, tune, refit))


def fit_question(screen: PlayScreen, tune: Tune, refit: Refit | None) -> FitScreen | None:
    """The question how a tune is to be read; None where all its notes are on the chanter, or none can be brought."""
    if tune.fits is None or refit is None:
        return None

    def shift() -> None:
        try:
            screen.exchange(tune, refit(tune))
        except UserError as error:
            screen.tell(str(error))

    return FitScreen(tune, shift)


def play_screen(opening: Opening, live: LiveInput | None = None) -> PlayScreen:
    """The playing screen as it opens, still without sound; `live` is what is played in, if anything is yet."""
    state = first_state(opening.shelf, opening.tune, opening.timing)
    wishes = opening.wishes
    state = replace(state, sound=opening.sound, playing=opening.playing, notice=opening.notice)
    state = replace(state, live=wishes.live, ear=wishes.ear)
    choose = partial(choose_tune, refit=opening.refit)
    if opening.at:
        state = respan(replace(state, position_s=opening.at(state.tune, state.schedule)))
    return PlayScreen(state, SilentPlayer(time.perf_counter), choose, {**DOORS, **PLAYING_DOORS}, live)


def run_window(opening: Opening) -> None:
    """Open the window and run it until it is closed. Raises UserError where there is no screen.

    The first frame does not wait for the sound: opening the loudspeaker can take as long as everything before it.
    """
    screen = play_screen(opening)
    with signals_held() as raise_what_came:
        shell = Shell(screen, opening.display, opening.size)
        shell.draw()
        opened = open_player(opening.sound)
        try:
            raise_what_came()
            _tell(screen, shell, opened)
            screen.use(opened.player)
            _run(screen, shell, opening, opened, raise_what_came)
        finally:
            # Whatever went wrong: a sound's thread that outlives the device ends the program by a segmentation fault.
            shell.close()
            opened.close()


def _run(
    screen: PlayScreen, shell: Shell, opening: Opening, opened: OpenedPlayer, raise_what_came: Callable[[], None]
) -> None:
    """Open what lies around the playing screen, and run until the window is closed."""
    _open_ears(screen, opening.wishes, opened)
    if opening.over:
        shell.put(opening.over(screen))
    elif question := fit_question(screen, opening.tune, opening.refit):
        shell.put(question)
    keeper = Keeper(preferences_path(), screen.tell)

    def each_frame() -> None:
        raise_what_came()
        screen.listen_in()
        keeper.keep(screen.preferences(shell.display))

    shell.run(each_frame)


def _open_ears(screen: PlayScreen, wishes: Wishes, opened: OpenedPlayer) -> None:
    """Open what can be played in on, and what sounds it; what is missing costs a line."""
    if opened.device:
        screen.live.sound.open_on(opened.device)
    instruments = Instruments(data_folder(), wishes.backend)
    if instruments.forgotten:
        screen.tell("; ".join(filter(None, (screen.state.notice, instruments.forgotten))))
    if wishes.out_port is not None:
        instruments.send_to(WantedOut(wishes.out_port, screen.live.sound.feed, screen.tell))
    if wishes.touch:
        screen.play_on_keys(wishes.touch)
    screen.live.open(instruments, wishes.port)


def _tell(screen: PlayScreen, shell: Shell, opened: OpenedPlayer) -> None:
    """One line for each thing that is missing; the rest goes on."""
    lines = [line for line in (screen.state.notice, shell.font_missing, opened.why_silent) if line]
    if lines:
        screen.tell("; ".join(lines))
