"""Reads Standard MIDI Files, ours, another program's or spoilt ones, within limits of memory and time.

mido is not used: it makes room for whatever size a header names, takes minutes over a number that never ends, and
raises plain Exceptions. Source of every rule: Standard MIDI Files 1.0 (RP-001).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import NoReturn

from companion.midi.stream.line import Timed
from companion.midi.stream.messages import voice_message
from fingering.errors import UserError

LARGEST_BYTES = 16_000_000
"""A file of more is not read: takes of an hour have some 300 kB."""

MOST_EVENTS = 100_000
"""Events in one file: nearly an hour and a half of twenty a second. To read and hear more would take more than 2 s."""

LONGEST_S = 7 * 24 * 3600.0
"""No take is longer than a week; one that says so is spoilt."""

LONGEST_TEMPO_US = 0xFFFFFF
"""The slowest tempo that a file can tell: three bytes of microseconds, 16.8 s a crotchet."""

DEFAULT_TEMPO_US = 500_000  # 120 crotchets a minute, where a file tells none
MICROSECONDS = 1_000_000
_REMEDY = "give a take, or another Standard MIDI File"
_CHUNK_HEADER = 8
_MOST_NUMBER_BYTES = 4  # a variable-length quantity has 28 bits at most
_ONE_DATA_BYTE = 0xC0  # with 0xD0: programme change and channel pressure
_SYSTEM_DATA_BYTES = {0xF1: 1, 0xF2: 2, 0xF3: 1}  # they have no place in a file, but some programs write them
_SYSTEM_EXCLUSIVE = (0xF0, 0xF7)
_META, _TEXT, _TEMPO = 0xFF, 0x01, 0x51
_FIRST_STATUS, _FIRST_SYSTEM = 0x80, 0xF0


@dataclass(frozen=True, slots=True)
class MidiContents:
    """The contents of a MIDI file. Times are in s from its beginning; texts are its text events, track by track.

    crotchet_s: how long a crotchet lasts by the first tempo.
    """

    messages: tuple[Timed, ...]
    end_s: float
    crotchet_s: float
    texts: tuple[bytes, ...]


_Event = tuple[int, int, int, int]
"""Tick, status and two data bytes, or tick, _TEMPO, microseconds a crotchet and 0: tuples, since there are so many."""


@dataclass(frozen=True, slots=True)
class _Header:
    tracks: int
    ticks_per_crotchet: int


def read_midi(data: bytes, place: str) -> MidiContents:
    """Read the bytes of a file. place: names the file in errors. Raises UserError for anything it cannot read."""
    try:
        return _read(data)
    except _Refused as refused:
        raise UserError(refused.what, refused.remedy, place) from None


class _Refused(Exception):
    def __init__(self, what: str, remedy: str = _REMEDY) -> None:
        super().__init__(what, remedy)
        self.what = what
        self.remedy = remedy


def _read(data: bytes) -> MidiContents:
    if not data.startswith(b"MThd"):
        raise _Refused("this is not a MIDI file")
    chunks = _chunks(data)
    header = _header(next(chunks)[1])
    tracks = _Tracks()
    # What follows the last track is none of the file's: a block of a take that was not yet taken in.
    while tracks.count < header.tracks:
        name, body = next(chunks, (b"", b""))
        if not name:
            _ends_too_soon()
        if name == b"MTrk":  # chunks of other kinds are to be passed over
            tracks.read(body)
    # Sorting keeps the order of the tracks for what is simultaneous.
    events = sorted(tracks.events, key=itemgetter(0))
    return _timed(events, header, tracks)


def _chunks(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield each chunk's name and those of its bytes that are there, whatever length its header promises."""
    at = 0
    while at < len(data):
        begins = at + _CHUNK_HEADER
        ends = begins + int.from_bytes(data[at + 4 : begins], "big")
        if begins > len(data) or ends > len(data):
            _ends_too_soon()
        yield data[at : at + 4], data[begins:ends]
        at = ends


def _header(body: bytes) -> _Header:
    if len(body) < 6:
        _ends_too_soon()
    form, tracks, division = (int.from_bytes(body[at : at + 2], "big") for at in (0, 2, 4))
    if form > 1:
        raise _Refused(f"this MIDI file is of format {form}, whose tracks are pieces of their own", "save one of them")
    if division & 0x8000:
        raise _Refused("the times in this MIDI file count film frames, not beats", "save it with ticks per crotchet")
    if division == 0:
        _spoilt()
    return _Header(tracks, division)


class _Tracks:
    """Collects the events and texts of one track after another."""

    def __init__(self) -> None:
        self.count = 0
        self.events: list[_Event] = []
        self.texts: list[bytes] = []
        self.last_tick = 0
        self._others = 0

    def read(self, body: bytes) -> None:
        """Read a track to the end of its chunk; while a take is written, events may stand behind an End of Track."""
        self.count += 1
        try:
            self._read(body)
        except IndexError:
            _ends_too_soon()
        if len(self.events) + self._others > MOST_EVENTS:
            _too_many()

    def _read(self, body: bytes) -> None:
        """Read the events in one loop without calls for each note: here reading a take spends its time."""
        at = tick = running = 0
        room = MOST_EVENTS - len(self.events)
        while at < len(body):
            delta, at = (body[at], at + 1) if body[at] < _FIRST_STATUS else _number(body, at)
            tick += delta
            status = body[at]
            # Strictly a meta event ends running status, but there are programs that go on with it.
            status, at = (running, at) if status < _FIRST_STATUS else (status, at + 1)
            if status >= _FIRST_SYSTEM:
                running = running if status == _META else 0
                at = self._pass_over(body, at, status, tick)
            elif status & 0xE0 == _ONE_DATA_BYTE:
                running = status
                self.events.append((tick, status, body[at], 0))
                at += 1
            elif status:
                running = status
                self.events.append((tick, status, body[at], body[at + 1]))
                at += 2
            else:
                _spoilt()
            room -= 1
            if room < 0:
                _too_many()
        self.last_tick = max(self.last_tick, tick)

    def _pass_over(self, body: bytes, at: int, status: int, tick: int) -> int:
        """Read an event that is no voice message, from behind its status byte; returns where the next one begins."""
        self._others += 1
        if status != _META and status not in _SYSTEM_EXCLUSIVE:
            return at + _SYSTEM_DATA_BYTES.get(status, 0)
        kind, at = (body[at], at + 1) if status == _META else (None, at)
        size, at = _number(body, at)
        if at + size > len(body):
            _ends_too_soon()
        data = body[at : at + size]
        if kind == _TEXT:
            self.texts.append(data)
        elif kind == _TEMPO:
            self.events.append((tick, _TEMPO, _tempo_us(data), 0))
        return at + size


def _number(body: bytes, at: int) -> tuple[int, int]:
    """A variable-length quantity, and the index of the byte after it.

    It has seven bits a byte, and the high bit set on all bytes but the last (81 48 is 200).
    """
    value = 0
    for place in range(at, at + _MOST_NUMBER_BYTES):
        value = value << 7 | body[place] & 0x7F
        if body[place] < _FIRST_STATUS:
            return value, place + 1
    return _spoilt()


def _tempo_us(data: bytes) -> int:
    """The microseconds a crotchet of a tempo event."""
    tempo_us = int.from_bytes(data, "big")
    if len(data) != 3 or tempo_us == 0:
        _spoilt()
    return tempo_us


def _timed(events: Sequence[_Event], header: _Header, tracks: _Tracks) -> MidiContents:
    """The events with times in seconds."""
    messages: list[Timed] = []
    tempo_us, first_tempo_us = DEFAULT_TEMPO_US, None
    from_tick, from_s = 0, 0.0

    def at_s(tick: int) -> float:
        return from_s + (tick - from_tick) * tempo_us / (MICROSECONDS * header.ticks_per_crotchet)

    for tick, status, first, second in events:
        if status == _TEMPO:
            from_s, from_tick, tempo_us = at_s(tick), tick, first
            first_tempo_us = first_tempo_us or tempo_us
            continue
        if first | second >= _FIRST_STATUS:
            _spoilt()
        message = voice_message(status, first, second)
        if message is not None:
            messages.append(Timed(at_s(tick), message))
    end_s = at_s(tracks.last_tick)
    if end_s > LONGEST_S:
        raise _Refused("this MIDI file is longer than a week", "cut it to one take")
    crotchet_s = (first_tempo_us or DEFAULT_TEMPO_US) / MICROSECONDS
    return MidiContents(tuple(messages), end_s, crotchet_s, tuple(tracks.texts))


def _ends_too_soon() -> NoReturn:
    raise _Refused("this MIDI file ends too soon")


def _too_many() -> NoReturn:
    raise _Refused(f"this MIDI file holds more than {MOST_EVENTS} events", "cut it to one take")


def _spoilt() -> NoReturn:
    raise _Refused("this MIDI file is spoilt")
