"""Navigation from the playing screen to those about playing in: free play, instruments, takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from types import MappingProxyType

from companion.files.folders import from_home, takes_folder
from companion.files.lines import one_line
from companion.files.places import on_this_computer
from companion.files.worker import Worker
from companion.hearing.takes.endings import NO_FILMS
from companion.hearing.takes.recordings import RecordingFile, recordings_in
from companion.hearing.takes.sound_take import SoundTake
from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.recorded import take_in_recording
from companion.midi.takes.reading import Listing, Take, list_takes
from companion.schedule.crossing import NamedTransition
from companion.score.bundled import bundled_files
from companion.score.model import Tune
from companion.sound.player import Player
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.core.actions import Action
from companion.window.core.screen import Screen
from companion.window.crossing.crossing_screen import CrossingScreen
from companion.window.crossing.crossing_state import open_crossing, update
from companion.window.crossing.map_screen import MapScreen
from companion.window.play.free_screen import FreeScreen
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.play.play_screen import PlayScreen
from companion.window.takes.opening.take_opening import Listable, TakeAndTune, TakeOpening
from companion.window.takes.opening.tunes_near import TunesNear
from companion.window.takes.take_screen import Count, TakeScreen
from companion.window.takes.take_state import open_take, with_sound
from companion.window.takes.takes_screen import TakesScreen
from companion.window.written_navigation import written_piece, written_take
from fingering.errors import UserError


def take_over(
    screen: PlayScreen,
    take: Take,
    by_sound: SoundTake | None = None,
    count: Count | None = None,
    tune: Tune | None = None,
) -> TakeScreen:
    """A screen that plays back a take, over the playing screen, which lends its player meanwhile.

    by_sound: the take as it was heard in its sound, where that was done before. count: is told of one that was heard in
    its sound, once it was judged. tune: its own, where that was found elsewhere than on the playing screen.
    """
    player = screen.lend()
    sound = screen.state.sound

    def crossing(named: NamedTransition, slow_down: float, lent: Player, let_go: Callable[[], None]) -> CrossingScreen:
        """To be drilled, so it is played clean."""
        clean = update(open_crossing(named, sound, slow_down=slow_down), Action.FLIP, 0.0)
        state = replace(clean, playing=True)
        return CrossingScreen(state, lent, lambda choose: MapScreen(choose, tuning=sound.tuning), let_go)

    near = tunes_near(screen)
    state = open_take(take, (*((tune,) if tune else ()), *near.tunes))
    if by_sound:
        state = with_sound(state, by_sound)
    state = replace(state, strictness=screen.state.ear.strictness)
    return TakeScreen(state, player, screen.take_back, crossing, screen.own_settings, screen.staff, count, near)


def tunes_near(screen: PlayScreen) -> TunesNear:
    """Where the tune of a take may be: the one that plays, those beside it, the files that were opened lately."""
    state = screen.state
    recent = tuple(Path(each.path) for each in RecentKeeper.at_home().files)
    return TunesNear((state.tune, *state.row, *state.tunes), recent)


def reviewed_over(screen: PlayScreen, take: Take, tune: Tune | None = None) -> TakeScreen:
    """A screen that plays back a take, as `take_over` makes it; a recording from elsewhere counts as a take of whoever
    plays. Those that are kept among the takes are counted with these. tune: its own, where that was found."""
    count = partial(_count, screen) if take.sound and take.sound == take.path else None
    return take_over(screen, take, count=count, tune=tune)


def _count(screen: PlayScreen, sounding: SoundTake, tune: Tune) -> None:
    """Take a recording into the progress of whoever plays, in a thread: a frame must not wait for the disk."""
    learner, setting = screen.live.learner, screen.own_settings.of(tune)

    def take_in() -> None:
        book = ProgressBook.at_home()
        try:
            if book.is_kept:
                take_in_recording(book, learner, sounding, tune, setting, datetime.now().astimezone())
        finally:
            book.close()

    Worker(take_in, "progress writer", daemon=False).start()


def _opening(screen: PlayScreen, chosen: Listable, then: Callable[[TakeAndTune], Screen]) -> TakeOpening:
    screen.live.finish_takes()
    return TakeOpening(chosen, tunes_near(screen), then)


def _recordings(folder: Path, tune: Tune) -> tuple[RecordingFile, ...]:
    """The recordings among the takes, and those beside the file of the tune."""
    beside = Path(tune.place.source).parent if on_this_computer(tune.place.source) else folder
    if not tune.place.source or beside == folder or Path(tune.place.source) in bundled_files():
        return recordings_in(folder)
    return (*recordings_in(folder), *recordings_in(beside, NO_FILMS))


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
    tune = screen.state.tune
    where, recordings = one_line(from_home(folder)), _recordings(folder, tune)
    return TakesScreen(
        listing,
        where,
        lambda take: _opening(screen, take, lambda opened: reviewed_over(screen, opened.take, opened.tune)),
        unkept,
        recordings,
        tune.title,
        lambda take: _opening(screen, take, lambda opened: written_take(screen, opened.take)),
    )


def free_play(screen: PlayScreen) -> Screen:
    """Free play, from which what was played can be written down."""
    return FreeScreen(screen, written_piece)


PLAYING_NAVIGATION: Mapping[Action, Callable[[PlayScreen], Screen | None]] = MappingProxyType(
    {Action.FREE_PLAY: free_play, Action.INSTRUMENT: InstrumentScreen, Action.TAKES: takes_over}
)
