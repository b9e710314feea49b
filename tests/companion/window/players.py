"""Players at an instrument, for tests: a tune played with fingers that come a little early or late, as messages."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.map_text import Map
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.midi.takes.heading import Heading, TuneIdentity, crotchet_s
from companion.midi.takes.recorder import Recorder
from companion.schedule.events import EventKind, Schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from fingering.holes import Finger

BEGAN = datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC)
KEYS_CHANNEL, FIRST_KEY = 15, 60


def fingers_of(schedule: Schedule, late_s: float = 0.06) -> Iterator[Timed]:
    """Hole by hole, as KEYS_MAP tells them: every finger up to `late_s` late, always the same way."""
    chance = random.Random(1)
    moves = [(schedule.states[0].at_s, finger, True) for finger in Finger if schedule.states[0].state.closed(finger)]
    for before, after in pairwise(schedule.states):
        for finger in before.state.moves_to(after.state):
            moves.append((after.at_s + chance.uniform(0.0, late_s), finger, after.state.closed(finger)))
    for at_s, finger, closed in sorted(moves):
        yield Timed(at_s, (NoteOn if closed else NoteOff)(KEYS_CHANNEL, FIRST_KEY + finger))


def notes_of(schedule: Schedule, late_s: float = 0.03) -> Iterator[Timed]:
    """Note by note, each on before the last is off, as DEFAULT_MAP numbers them."""
    sounding: int | None = None
    for event in schedule.events:
        number = None if event.kind is EventKind.REST else DEFAULT_MAP.number(event.note)
        if number != sounding:
            if number is not None:
                yield Timed(event.start_s + late_s, NoteOn(0, number))
            if sounding is not None:
                yield Timed(event.start_s + late_s, NoteOff(0, sounding))
            sounding = number


def write_take(
    folder: Path,
    tune: Tune | None,
    schedule: Schedule,
    timing: Timing,
    known: Map | None,
    *,
    metronome: bool = False,
) -> Path:
    """A take of the schedule from its first beat on, by fingers where `known` is KEYS_MAP, else by notes."""
    heading = Heading(
        BEGAN,
        "Chanter:Chanter MIDI 1 20:0",
        known,
        TuneIdentity.of(tune) if tune else None,
        timing if tune else None,
        crotchet_s=crotchet_s(tune, timing) if tune else 0.5,
        metronome=metronome,
    )
    recorder = Recorder(folder, heading, began_s=0.0)
    for timed in fingers_of(schedule) if known == KEYS_MAP else notes_of(schedule):
        recorder.add(timed)
    take = recorder.finish(schedule.duration_s)
    assert take is not None
    assert take.path is not None
    return take.path


class Clock:
    """A clock that a test sets."""

    def __init__(self, now_s: float = 0.0) -> None:
        self.now_s = now_s

    def __call__(self) -> float:
        """The time it was set to."""
        return self.now_s


class Feed:
    """An instrument that a test plays by hand."""

    def __init__(self, name: str = "Feed") -> None:
        self.name = name
        self.last_message_s: float | None = None
        self._waiting: list[Timed] = []

    def play(self, *messages: Timed) -> None:
        """Have these messages wait to be fetched."""
        self._waiting += messages
        self.last_message_s = messages[-1].at_s

    def fetch(self) -> Iterator[Timed]:
        """What came since the last call."""
        while self._waiting:
            yield self._waiting.pop(0)
