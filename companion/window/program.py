"""Builds the window from its parts and runs it until it is closed."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING

from companion.files.folders import data_folder
from companion.files.lines import one_line
from companion.files.signals import signals_held
from companion.files.worker import RUNNING, Worker
from companion.midi.maps.touch import Touch
from companion.midi.ports.driver import Backend
from companion.schedule.events import Schedule
from companion.schedule.practice.rounds import Rest
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.sound.settings import LiveSettings, SoundSettings
from companion.window.choose.book import Book
from companion.window.choose.last_set import LastSet
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import OurTunes, Shelf
from companion.window.choosing_navigation import choose_tune, fit_question
from companion.window.core.display import Display, Notation
from companion.window.core.screen import Screen
from companion.window.lanes.told import EarSettings
from companion.window.lanes.unread import unread_bars
from companion.window.loaded_later import LATER_NAVIGATION, load_the_rest
from companion.window.paint.lettering import ending_fonts
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state, respan
from companion.window.play.settings.preferences import preferences_path, write_preferences
from companion.window.play.settings.settings_keeper import SettingsKeeper
from companion.window.play.tools.round_settings import RoundSettings
from companion.window.shell import Shell, WindowSize
from companion.window.staff.maker import StaffMaker

if TYPE_CHECKING:  # see loaded_later
    from companion.sound.sounding_player import OpenedPlayer
    from companion.window.live.input import LiveInput
    from companion.window.rereading.rereading import Rereading
    from companion.window.staff.staff_line import StaffSource


@dataclass(frozen=True, slots=True)
class Wishes:
    """What to play in on, how it sounds, the rest between rounds, and who plays: "" for whoever never said a name.

    None: the port used last, no keys, no port to send to.
    """

    port: str | None = None
    touch: Touch | None = None
    live: LiveSettings = field(default_factory=LiveSettings)
    out_port: str | None = None
    backend: Backend = Backend.SYSTEM
    ear: EarSettings = field(default_factory=EarSettings)
    rest: Rest = Rest.NONE
    learner: str = ""


@dataclass(frozen=True, slots=True)
class Opening:
    """How the window opens: the tunes to choose from and the first one, its settings, and where the tune stands.

    at: from a tune and its schedule to seconds, None for the start. notice: one line to the user, "" for none. wishes:
    what is to be played in on. over: a screen to open at once over the playing screen. refit: reads a tune again with
    the transposition that fits the chanter, None where that is not offered. book: the file that was asked for, None for
    none; ours: the tunes that come with the program, None for `tunes`.
    """

    tunes: tuple[Tune, ...]
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
    book: Book | None = None
    ours: OurTunes | None = None


def shelf_of(opening: Opening, recent: RecentKeeper, last_set: LastSet | None = None) -> Shelf:
    """What can be chosen when the window opens."""
    shelf = Shelf(opening.ours or OurTunes(opening.tunes), recent, last_set)
    if opening.book:
        shelf.add(opening.book)
        shelf.chosen = True
    return shelf


def play_screen(
    opening: Opening,
    live: LiveInput | None = None,
    shelf: Shelf | None = None,
    staff: StaffSource | None = None,
) -> PlayScreen:
    """The playing screen as it opens, still without sound; `live` is what is played in, if anything is yet.

    shelf: what can be chosen, None for what the opening holds, with no recent files. staff: who engraves the tune.
    """
    state = first_state(opening.tunes, opening.tune, opening.timing)
    wishes = opening.wishes
    state = replace(state, sound=opening.sound, playing=opening.playing, notice=opening.notice)
    state = replace(state, live=wishes.live, ear=wishes.ear, rounds=RoundSettings(wishes.rest))
    choose = partial(choose_tune, refit=opening.refit, shelf=shelf or shelf_of(opening, RecentKeeper(None)))
    if opening.book:
        state = replace(state, unread=unread_bars(opening.tune, opening.book.read.problems_of(opening.tune)))
    if opening.at:
        state = respan(replace(state, position_s=opening.at(state.tune, state.schedule)))
    return PlayScreen(state, SilentPlayer(_standing_still), choose, LATER_NAVIGATION, live, wishes.learner, staff)


def _standing_still() -> float:
    """The clock of a tune that is not heard yet: it waits for its sound."""
    return 0.0


def run_window(opening: Opening) -> None:
    """Open the window and run it until it is closed. Raises UserError where there is no screen.

    The first frame waits for nothing that it does not show. While the rest is loaded, the tune stands at its start, and
    keys are followed already.
    """
    shelf = shelf_of(opening, RecentKeeper.at_home(), LastSet.at_home())
    staff = StaffMaker(ending_fonts())
    screen = play_screen(opening, shelf=shelf, staff=staff)
    path = preferences_path()
    keeper = SettingsKeeper(lambda preferences: write_preferences(preferences, path))
    with signals_held() as raise_what_came:
        shell = Shell(screen, opening.display, opening.size)
        shell.draw()
        opened: OpenedPlayer | None = None

        def each_frame() -> None:
            raise_what_came()
            if shell.display.notation is Notation.STAFF:
                staff.begin()
            keeper.keep(screen.preferences(shell.display))

        try:
            if opening.wishes.touch:
                screen.play_on_keys(opening.wishes.touch)  # before any key is read: none may be taken for a command
            keeper.keep(screen.preferences(shell.display))  # as they were read: what changes from here on is kept
            _ask_or_introduce(screen, shell, shelf, opening)
            if _load(shell, each_frame):
                opened = _open_sound(screen, shell, opening)
                _run(screen, shell, shelf, keeper, opening, opened, staff, each_frame)
        finally:
            # Whatever went wrong: a sound's thread that outlives the device ends the program by a segmentation fault.
            shell.close()
            keeper.close()
            staff.close()
            if opened:
                opened.close()


def _ask_or_introduce(screen: PlayScreen, shell: Shell, shelf: Shelf, opening: Opening) -> None:
    """Ask how to read a tune that does not fit the chanter; else tell whoever was not told what the picture means."""
    if opening.over:
        return
    if question := fit_question(screen, opening.tune, opening.refit, shelf):
        shell.put(question)
    elif not shell.display.introduced:
        shell.introduce()


def _load(shell: Shell, each_frame: Callable[[], None]) -> bool:
    """Load what the first frame did not need, beside a window that goes on; returns whether it is still open then.

    Whatever cannot be loaded fails again, and is told, where it is asked for.
    """
    loading = Worker(load_the_rest, "loading")
    loading.start()
    try:
        return shell.run_until(lambda: loading.outcome is not RUNNING, each_frame)
    finally:
        loading.join()  # Python may not end while another thread imports


def _open_sound(screen: PlayScreen, shell: Shell, opening: Opening) -> OpenedPlayer:
    """Open the loudspeaker, and let the tune be heard; what is missing is told in a line."""
    from companion.sound.sounding_player import open_player

    opened = open_player(opening.sound)
    _tell(screen, shell, opened)
    screen.use(opened.player)
    return opened


def _run(
    screen: PlayScreen,
    shell: Shell,
    shelf: Shelf,
    keeper: SettingsKeeper,
    opening: Opening,
    opened: OpenedPlayer,
    staff: StaffMaker,
    each_frame: Callable[[], None],
) -> None:
    """Open what belongs to the playing screen, and run until the window is closed."""
    from companion.window.live.microphone.open_microphones import OpenMicrophones
    from companion.window.rereading.rereading import Rereading

    _open_ears(screen, opening.wishes, opened)
    if opening.over:
        shell.put(opening.over(screen))

    rereading = Rereading(screen, shelf, opening.refit)
    microphones = OpenMicrophones(lambda: screen.inputs, screen.close_microphones, time.monotonic)
    shell.close_microphone = microphones.close

    def before_frame() -> None:
        each_frame()
        screen.listen_in()
        microphones.follow(minimised=shell.minimised)
        shell.sign = microphones.sign
        shelf.recent.go_on()
        shelf.last_set.go_on()
        rereading.pass_time(time.monotonic(), on_top=shell.top is screen)
        engraver = (staff,) if shell.display.notation is Notation.STAFF else ()
        shell.trouble = trouble_of(screen, keeper, shelf.recent, shelf.last_set, rereading, *engraver)

    try:
        shell.run(before_frame)
    finally:
        rereading.close()
        keeper.close()
        shelf.recent.close()
        shelf.last_set.close()
        _tell_late((*screen.live.troubles, keeper.trouble, shelf.recent.trouble, shelf.last_set.trouble), shell.trouble)


def _tell_late(lines: Sequence[str], shown: str) -> None:
    """What could not be kept as the window closed, which it could not show any more."""
    for line in lines:
        if line and line not in shown:
            print(f"eightholes: {one_line(line)}", file=sys.stderr)


def trouble_of(screen: PlayScreen, *keepers: SettingsKeeper | RecentKeeper | LastSet | Rereading | StaffMaker) -> str:
    """One line about what failed behind the window's back: the first thing, and how many more there are."""
    lines = [line for line in (*screen.troubles, *(keeper.trouble for keeper in keepers)) if line]
    more = f" (and {len(lines) - 1} more)" if len(lines) > 1 else ""
    return f"{lines[0]}{more}" if lines else ""


def _open_ears(screen: PlayScreen, wishes: Wishes, opened: OpenedPlayer) -> None:
    """Open the instruments that can be played in on and the live sound; what is missing costs one line."""
    from companion.window.live.instruments import Instruments, WantedOut

    if opened.device:
        screen.live.sound.open_on(opened.device)
    instruments = Instruments(data_folder(), wishes.backend)
    if instruments.forgotten:
        screen.tell("; ".join(filter(None, (screen.state.notice, instruments.forgotten))))
    if wishes.out_port is not None:
        instruments.send_to(WantedOut(wishes.out_port, screen.live.sound.feed, screen.tell))
    screen.live.open(instruments, wishes.port)


def _tell(screen: PlayScreen, shell: Shell, opened: OpenedPlayer) -> None:
    """One line for each thing that is missing; the rest goes on."""
    lines = [line for line in (screen.state.notice, shell.font_missing, opened.why_silent) if line]
    if lines:
        screen.tell("; ".join(lines))
