"""What is shown of microphones, for the tests of all screens and for pictures that are looked at."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.screen import Screen
from companion.window.lanes.played_in import LEVEL_STEPS, Light, PlayedIn
from companion.window.live.microphone.voice_lesson import VoiceLesson
from companion.window.live.microphone.words import HEADPHONES, TOO_LOUD
from companion.window.play.free_screen import FreeScreen
from companion.window.play.instrument_screen import InstrumentScreen
from companion.window.play.learn_screen import LearnScreen
from companion.window.play.play_screen import PlayScreen
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.live.microphone.listed import DESK, MicrophoneDesk

AT_MICROPHONE = PlayedIn(light=Light.ARRIVING, words=f"listening to {DESK}", kept="kept as a take", level=4)
STATES = {
    "silence": replace(AT_MICROPHONE, light=Light.QUIET, kept="", level=0),
    "learning": replace(AT_MICROPHONE, words="learning your chanter, 40%: play on", kept="", level=3),
    "listening": AT_MICROPHONE,
    "headphones": replace(AT_MICROPHONE, news=HEADPHONES, level=LEVEL_STEPS),
    "too loud": replace(AT_MICROPHONE, problem=TOO_LOUD, level=LEVEL_STEPS),
    "lost": replace(AT_MICROPHONE, light=Light.AWAY, problem=f"{DESK} is gone; plug it in again", level=None),
}
"""What stands above the lanes, by what happens."""


def microphone_desk(names: tuple[str, ...] | None = None) -> MicrophoneDesk:
    """A desk whose folder is left to the system."""
    folder = Path(tempfile.mkdtemp())
    return MicrophoneDesk(folder) if names is None else MicrophoneDesk(folder, names=names)


def playing_at(desk: MicrophoneDesk) -> PlayScreen:
    """The playing screen, played in by that microphone."""
    return PlayScreen(scenes.state(), SilentPlayer(desk.clock), choose_tune, live=desk.live)


@cache
def instruments(*names: str) -> Screen:
    """The list of instruments where these microphones are."""
    return InstrumentScreen(playing_at(microphone_desk(names)))


@cache
def chosen() -> Screen:
    """The list of instruments while one of two microphones learns."""
    desk = microphone_desk()
    desk.live.listen_to_microphone(DESK)
    desk.state("learning", 0.43)
    desk.live.gather(None)
    return InstrumentScreen(playing_at(desk))


def scale_heard(desk: MicrophoneDesk, notes: int) -> None:
    """So many of the nine notes are played upward, each for half a second, and silence after them."""
    for note in tuple(Note)[:notes]:
        desk.hears(note)
        desk.clock.now_s += 0.5
        desk.live.gather(None)
    desk.hears(None)
    desk.live.gather(None)


@cache
def voice_lesson(notes: int) -> Screen:
    """Learning a chanter's sound, after so many of its notes."""
    desk = microphone_desk()
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing")
    desk.live.gather(None)
    screen = LearnScreen(playing_at(desk), VoiceLesson())
    desk.scale(notes, done=notes == len(Note))
    screen.tick()
    return screen


@cache
def freely() -> Screen:
    """Free play on a microphone."""
    desk = microphone_desk()
    desk.live.listen_to_microphone(DESK)
    desk.state("hearing", level_db=-15.0)
    desk.live.gather(None)
    scale_heard(desk, 5)
    return FreeScreen(playing_at(desk))


@cache
def refused() -> Screen:
    """The list of instruments where the chosen microphone may not be opened."""
    desk = microphone_desk()
    desk.live.listen_to_microphone(DESK)
    what, remedy = "access to it was refused", "allow it in the settings of your system, then choose it again"
    desk.answer("refused", f"the microphone '{DESK}' cannot be opened: {what}", remedy)
    desk.live.gather(None)
    return InstrumentScreen(playing_at(desk))


def microphone_screens() -> Mapping[str, Callable[[], Screen]]:
    """Screens that show a microphone, by name."""
    return {
        "instruments, no microphone": instruments,
        "instruments, two microphones": partial(instruments, "Desk microphone", "w" * 90),
        "instruments, a microphone learns": chosen,
        **{f"{notes} notes heard": partial(voice_lesson, notes) for notes in (0, 4, 9)},
        "free play at a microphone": freely,
        "a refused microphone": refused,
        "twelve microphones": partial(instruments, *(f"{rank} {'microphone ' * rank}" for rank in range(12))),
    }


def states() -> Iterator[tuple[str, PlayedIn]]:
    """What stands above the lanes, each by its name."""
    yield from ((f"a microphone, {name}", played) for name, played in STATES.items())
