"""Builds the window from its parts and runs it."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import OpenedPlayer, SilentPlayer, open_player
from companion.sound.settings import SoundSettings
from companion.window.display import Display
from companion.window.doors import DOORS
from companion.window.play_screen import PlayScreen
from companion.window.play_state import first_state, respan
from companion.window.preferences import Preferences, preferences_path, write_preferences
from companion.window.screen import Screen
from companion.window.shell import Shell, WindowSize
from companion.window.tunes_screen import TunesScreen
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Opening:
    """How the window opens: its shelf of tunes and the first one, its settings, and where the tune stands.

    at: from a tune and its schedule to seconds, None for the start. notice: one line to the user, "" for none. over: a
    screen to open at once over the playing screen.
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
    over: Callable[[PlayScreen], Screen] | None = None


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


def choose_tune(screen: PlayScreen) -> TunesScreen:
    """The list of tunes over a playing screen."""
    state = screen.state
    current = next((rank for rank, tune in enumerate(state.shelf) if tune is state.tune), 0)
    return TunesScreen(state.shelf, current, screen.act)


def play_screen(opening: Opening) -> PlayScreen:
    """The playing screen as it opens, still without sound."""
    state = first_state(opening.shelf, opening.tune, opening.timing)
    state = replace(state, sound=opening.sound, playing=opening.playing, notice=opening.notice)
    if opening.at:
        state = respan(replace(state, position_s=opening.at(state.tune, state.schedule)))
    return PlayScreen(state, SilentPlayer(time.perf_counter), choose_tune, DOORS)


def run_window(opening: Opening) -> None:
    """Open the window and run it until it is closed. Raises UserError where there is no screen.

    The first frame does not wait for the sound: opening the loudspeaker can take as long as everything before it.
    """
    screen = play_screen(opening)
    shell = Shell(screen, opening.display, opening.size)
    shell.draw()
    opened = open_player(opening.sound)
    _tell(screen, shell, opened)
    screen.use(opened.player)
    if opening.over:
        shell.put(opening.over(screen))
    keeper = Keeper(preferences_path(), screen.tell)
    try:
        shell.run(lambda: _each_frame(screen, keeper, shell))
    finally:
        opened.close()


def _each_frame(screen: PlayScreen, keeper: Keeper, shell: Shell) -> None:
    screen.listen_in()
    keeper.keep(screen.preferences(shell.display))


def _tell(screen: PlayScreen, shell: Shell, opened: OpenedPlayer) -> None:
    """One line for each thing that is missing; the rest goes on."""
    lines = [line for line in (screen.state.notice, shell.font_missing, opened.why_silent) if line]
    if lines:
        screen.tell("; ".join(lines))
