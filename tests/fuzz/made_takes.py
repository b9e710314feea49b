"""Takes made by choices: whatever the bytes, the file is a valid one, with as many notes as there are bytes for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from companion.listen.model.played import Sounded
from companion.midi.maps.hole_map import HoleMap, NoteSwitch
from companion.midi.maps.note_map import DEFAULT_MAP, NoteMap
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import Bend, Control, NoteOff, NoteOn, NotesOff, Pressure, VoiceMessage
from companion.midi.takes.heading import Heading, TuneIdentity, crotchet_s
from companion.midi.takes.take_file import TakeFile
from companion.schedule.events import TimedState
from companion.schedule.stretch import Stretch
from companion.schedule.timing import Gracing, Timing
from companion.score.model import Tune
from companion.score.performance import performance
from fingering.holes import NONE_CLOSED, Finger
from fingering.notes import Note
from tests.fuzz.draws import Draws

BEGAN = datetime(2026, 1, 2, 20, 15, 3, tzinfo=UTC)
STEP_S = 0.005
LONG_FROM = 200
"""A byte of waiting below this counts steps of STEP_S, one from here on half seconds."""

FIRST_SENSOR = 60
SENSORS = HoleMap(tuple(NoteSwitch(0, FIRST_SENSOR + finger) for finger in Finger))
MAPS: tuple[NoteMap | HoleMap | None, ...] = (DEFAULT_MAP, None, SENSORS)
TEMPOS = (None, 30.0, 60.0, 72.0, 90.0, 111.0, 180.0, 320.0)
SLOWED = (1.0, 1.5, 2.0, 4.0, 8.0, 32.0)
FREE_PLAY, METRONOME, WITHOUT = range(3)
WHOLE, STRANGE = 0x80, 0x40
"""Of a heading's first byte: what sort of take; whether of the whole tune, which takes many times as long; whether the
heading says what the program would not write: another tempo than the file's, more notes than the tune has."""

LED_ONTO = 0x20
"""Of the same byte: whether the gracenotes onto the first note of a stretch belong to it."""

STRANGE_TEMPOS = (1e-5, 0.01, 0.5, 2.0, 10.0)

MOST_NOTES = 64
MANY = 16
"""A byte of where a stretch begins counts so many notes."""

_ANY_NUMBER = 0x10
"""The bit that makes a note of any number; without it notes are the chanter's, as nearly all in a take are."""

_FIRST_ODD = 0xE0
_SENSOR_OFF, _SENSOR_ON = 0xE2, 0xE6
"""What `_odd` makes a Note Off of any number of, and the Note On of a sensor."""


def heading_from(draws: Draws, tune: Tune) -> Heading:
    """One of many headings of a take of that tune: free play, or asked for by any timing, a stretch or all of it."""
    kind, known = draws.byte(), draws.one_of(MAPS)
    if kind % 4 == FREE_PLAY:
        return Heading(BEGAN, "Chanter:MIDI", known)
    timing = Timing(draws.one_of(TEMPOS), draws.one_of(SLOWED), draws.one_of(tuple(Gracing)))
    heading = Heading(
        BEGAN,
        "Chanter:MIDI",
        known,
        TuneIdentity.of(tune),
        timing,
        tune_starts_s=draws.byte() / 50.0,
        crotchet_s=crotchet_s(tune, timing) * (draws.one_of(STRANGE_TEMPOS) if kind & STRANGE else 1.0),
        metronome=kind % 4 == METRONOME,
    )
    notes = len(performance(tune))
    first = MANY * draws.byte() % notes
    stop = first + 1 + draws.byte() % (MOST_NOTES if kind & STRANGE else min(MOST_NOTES, notes - first))
    return heading if kind & WHOLE else replace(heading, stretch=Stretch(first, stop, led_onto=bool(kind & LED_ONTO)))


def messages_from(draws: Draws) -> Iterator[Timed]:
    """Messages, each from three bytes: what, with which value, how long after the one before."""
    at_s, sounding = 0.0, 0
    while draws.left:
        what, value, wait = draws.byte(), draws.byte() & 0x7F, draws.byte()
        at_s += wait * STEP_S if wait < LONG_FROM else (wait - LONG_FROM + 1) / 2.0
        if what < _FIRST_ODD:
            number = value if what & _ANY_NUMBER else DEFAULT_MAP.numbers[what % len(Note)]
            yield Timed(at_s, NoteOff(0, sounding))
            yield Timed(at_s, NoteOn(0, number))
            sounding = number
        else:
            yield Timed(at_s, _odd(what, value, sounding))


def _odd(what: int, value: int, sounding: int) -> VoiceMessage:
    """A message that is not one note after another."""
    channel = what & 0x01
    return (
        NoteOff(channel, sounding),
        NoteOff(channel, value),
        NoteOn(channel, value),
        NoteOn(channel, FIRST_SENSOR + value % len(Finger)),
        Control(channel, 2, value),
        Control(channel, value % 120, 64),
        Pressure(channel, value),
        Bend(channel, (value - 64) / 64.0),
        NotesOff(channel),
    )[(what >> 1 & 0x0F) % 9]


def played_bytes(events: Sequence[Sounded]) -> bytes:
    """The bytes from which `messages_from` makes this playing, to the step of 5 ms."""
    told, at_s = bytearray(), 0.0
    for event in events:
        wait = max(0, round((event.at_s - at_s) / STEP_S))
        wait = wait if wait < LONG_FROM else min(0xFF, LONG_FROM - 1 + round(wait * STEP_S * 2.0))
        at_s += wait * STEP_S if wait < LONG_FROM else (wait - LONG_FROM + 1) / 2.0
        told += bytes((_FIRST_ODD if event.note is None else int(event.note), 0, wait))
    return bytes(told)


def sensed_bytes(states: Sequence[TimedState]) -> bytes:
    """The bytes of the same playing as SENSORS tell it, each state's waiting cut to a byte's worth of steps."""
    told, held, at_s = bytearray(), NONE_CLOSED, 0.0
    for state in states:
        wait = min(LONG_FROM - 1, max(0, round((state.at_s - at_s) / STEP_S)))
        at_s += wait * STEP_S
        for finger in held.lifts_to(state.state):
            told += bytes((_SENSOR_OFF, FIRST_SENSOR + finger, wait))
            wait = 0
        for finger in held.drops_to(state.state):
            told += bytes((_SENSOR_ON, finger, wait))
            wait = 0
        held = state.state
    return bytes(told)


def write_made_take(path: Path, heading: Heading, messages: Iterable[Timed]) -> None:
    """Write it as the program writes its own."""
    kept = tuple(messages)
    file = TakeFile(path, heading)
    file.append(kept)
    file.finish(kept[-1].at_s + 1.0 if kept else 1.0)
