"""A class on a tune, its learners played by feeds, with a clock for all that a test moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from companion.listen.model.strictness import Strictness
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.window.classroom.class_input import ClassInput
from companion.window.lanes.told import EarSettings, Feedback
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.live.tune_run import TuneRun
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.players import Clock, Feed, notes_of

FRAME_S = 1.0 / 30.0
TUNE = scenes.tune(
    "X:1\nT:Nets\nM:4/4\nL:1/8\nQ:1/4=100\nK:HP\n"
    "[|{g}e2 {a}f2 {g}c2 {g}d2|{g}A2 {g}B2 {g}c2 A2|{g}e2 f2 {g}e2 c2|{g}A8|]\n"
)
TIMING = Timing()
SCHEDULE = build_schedule(TUNE, TIMING)
EAR = EarSettings(Feedback.AT_END, Strictness.USUAL)
NAMES = ("Anna", "Ben", "Cara", "Dougal")


def right(schedule: Schedule = SCHEDULE) -> tuple[Timed, ...]:
    """The tune played as it stands."""
    return tuple(notes_of(schedule, late_s=0.0))


def moved(late_s: float, first: int, last: int) -> tuple[Timed, ...]:
    """The tune with some messages late."""
    late = (
        replace(each, at_s=each.at_s + late_s) if first <= rank < last else each for rank, each in enumerate(right())
    )
    return tuple(sorted(late, key=lambda each: each.at_s))


def exchanged(melody: int, wrong: int) -> tuple[Timed, ...]:
    """The tune with a melody note exchanged wherever it is longer than a gracenote."""
    events = {round(each.start_s, 6): each for each in SCHEDULE.events}
    played = []
    for timed in right():
        event = events.get(round(timed.at_s, 6))
        message = timed.message
        long = event is not None and event.end_s - event.start_s > 0.1
        if isinstance(message, NoteOn) and message.number == melody and long:
            message = replace(message, number=wrong)
        elif isinstance(message, NoteOff) and message.number == melody:
            played.append(replace(timed, message=replace(message, number=wrong)))
        played.append(replace(timed, message=message))
    return tuple(played)


PLAYINGS: Mapping[str, tuple[Timed, ...]] = {
    "Anna": right(),
    "Ben": moved(0.16, 8, 12),
    "Cara": tuple(each for each in right() if each.at_s < 3.0 or each.at_s > 3.9),
    "Dougal": exchanged(DEFAULT_MAP.number(Note.C), DEFAULT_MAP.number(Note.E)),
}
"""Four learners: faultless, some notes late, some left out, a wrong note throughout."""


class ClassBench:
    """The class, or one of it alone."""

    def __init__(self, names: Sequence[str] = NAMES, folder: Path | None = None) -> None:
        self.clock = Clock(100.0)
        self.room = ClassInput(lambda: None, folder, self.clock)
        self.feeds: dict[str, Feed] = {}
        for name in names:
            feed = self.feeds[name] = Feed(f"Chanter of {name}")
            live = LiveInput(folder, LiveSound(), self.clock, name)
            live.choice.follow(feed, DEFAULT_MAP)
            self.room.welcome(live)

    def play(self, playings: Mapping[str, Sequence[Timed]] = PLAYINGS) -> None:
        """The tune runs once while each plays, and is over."""
        began_s = self.clock.now_s
        waiting = {name: [replace(each, at_s=each.at_s + began_s) for each in playings[name]] for name in self.feeds}
        while self.clock.now_s < began_s + SCHEDULE.duration_s:
            for name, feed in self.feeds.items():
                while waiting[name] and waiting[name][0].at_s <= self.clock.now_s:
                    feed.play(waiting[name].pop(0))
            self.room.gather(TuneRun(TUNE, TIMING, self.clock.now_s, self.clock.now_s - began_s), EAR)
            self.clock.now_s += FRAME_S
        self.room.gather(None, EAR)
        for live in self.room.learners:
            live.ear.wait()
