"""Writes a take as a Standard MIDI File that is whole after every step, so that a crash finds nothing half written.

Format 0, one track. A block of events is first written behind the track's end, where no reader looks; then the track's
length takes it in; last, the End of Track before it, FF 2F 00, becomes an empty text event, FF 01 00, by one byte.
Source: Standard MIDI Files 1.0 (RP-001).
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

import mido

from companion.midi.stream.line import Timed
from companion.midi.stream.messages import encode
from companion.midi.takes.heading import Heading, heading_to_text
from companion.midi.takes.standard_file import LONGEST_TEMPO_US, MICROSECONDS

DIVISION = 9600
"""Ticks in a crotchet: a tick is 0.1 ms at 60 a minute."""

_HEADER = b"MThd" + (6).to_bytes(4, "big") + (0).to_bytes(2, "big") + (1).to_bytes(2, "big")
_LENGTH_AT = 18
_TRACK_AT = 22
_END_OF_TRACK = b"\x00\xff\x2f\x00"
_TYPE_WITHIN_END = 2
_TEXT_TYPE = b"\x01"
_LONGEST_DELTA = 0x0FFFFFFF


class TakeFile:
    """A take's file, open for writing. Every method may raise OSError; the file then keeps what it held before."""

    def __init__(self, path: Path, heading: Heading) -> None:
        """Create the file, with its heading; `path` must not exist."""
        self.path = path
        tempo_us = min(LONGEST_TEMPO_US, max(1, round(heading.crotchet_s * MICROSECONDS)))
        self._tick_s = tempo_us / MICROSECONDS / DIVISION
        self._tick = 0
        opening = _opening(heading, tempo_us) + _END_OF_TRACK
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o644)
        self._file = os.fdopen(descriptor, "r+b", buffering=0)
        self._length = len(opening)
        track = b"MTrk" + self._length.to_bytes(4, "big") + opening
        try:
            self._write_at(0, _HEADER + DIVISION.to_bytes(2, "big") + track)
        except BaseException:  # whatever it is, no file is left that is no take
            self._file.close()
            path.unlink(missing_ok=True)
            raise

    def append(self, messages: Iterable[Timed]) -> None:
        """Add messages, in order of time; `at_s` counts from the take's beginning."""
        self._append_block(b"".join(self._delta(timed.at_s) + encode(timed.message) for timed in messages))

    def finish(self, end_s: float) -> None:
        """Mark the take's end, see that it is on the disk, and close the file."""
        try:
            self._append_block(self._delta(end_s) + bytes(mido.MetaMessage("marker", text="end").bytes()))
            os.fsync(self._file.fileno())
        finally:
            self._file.close()

    def abandon(self) -> None:
        """Close the file without marking its end; it holds what was written."""
        self._file.close()

    def _append_block(self, events: bytes) -> None:
        if not events:
            return
        block = events + _END_OF_TRACK
        end = _TRACK_AT + self._length
        self._write_at(end, block)
        self._write_at(_LENGTH_AT, (self._length + len(block)).to_bytes(4, "big"))
        self._write_at(end - len(_END_OF_TRACK) + _TYPE_WITHIN_END, _TEXT_TYPE)
        self._length += len(block)

    def _write_at(self, offset: int, data: bytes) -> None:
        self._file.seek(offset)
        left = memoryview(data)
        while left:
            left = left[self._file.write(left) :]

    def _delta(self, at_s: float) -> bytes:
        """Ticks since the last event, padded with empty text events where one delta cannot hold them."""
        tick = max(self._tick, round(at_s / self._tick_s))
        ticks, self._tick = tick - self._tick, tick
        padding = ticks // _LONGEST_DELTA
        return (_variable_length(_LONGEST_DELTA) + b"\xff\x01\x00") * padding + _variable_length(ticks % _LONGEST_DELTA)


def _opening(heading: Heading, tempo_us: int) -> bytes:
    tune = heading.tune
    metas = (
        mido.MetaMessage("track_name", name=_latin(tune.title if tune else heading.source)),
        mido.MetaMessage("text", text=heading_to_text(heading)),
        mido.MetaMessage("set_tempo", tempo=tempo_us),
    )
    return b"".join(b"\x00" + bytes(meta.bytes()) for meta in metas)


def _latin(text: str) -> str:
    """A name in Latin-1, as readers of MIDI files expect it; the heading keeps the true one."""
    return text.encode("latin-1", "replace").decode("latin-1")


def _variable_length(value: int) -> bytes:
    """A variable-length quantity: seven bits a byte, the high bit set on all but the last (200 is 81 48)."""
    septets = [value & 0x7F]
    while value := value >> 7:
        septets.append(0x80 | value & 0x7F)
    return bytes(reversed(septets))
