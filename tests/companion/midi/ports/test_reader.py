"""The thread that reads a port does not hang, and does not die unseen. With real ports: test_ports.py."""

from __future__ import annotations

import threading
import time

import pytest

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.ports.monitor import Monitor
from companion.midi.ports.reader import Inbox, Lost, Reader
from companion.midi.stream.line import Stamped
from fingering.chart import chart
from fingering.errors import UserError
from fingering.holes import HoleState
from fingering.notes import Note


class Flood:
    """A port that always has one more message, and may fail: what no real one can be made to do."""

    def __init__(self, fails_after: int | None = None) -> None:
        self._left = fails_after
        self.closed = False

    def read(self) -> Stamped | None:
        """Low A on, for ever, or until it fails."""
        if self._left == 0:
            raise UserError("the MIDI port failed", "plug it in again")
        self._left = None if self._left is None else self._left - 1
        return Stamped(time.perf_counter(), b"\x90\x45\x40")

    def wait(self, seconds: float) -> None:
        """There is always one."""

    def close(self) -> None:
        """Note it."""
        self.closed = True


def test_a_flood_of_messages_cannot_keep_a_port_open() -> None:
    """Closing comes back, and what found no room is counted."""
    flood, inbox = Flood(), Inbox(limit=100)
    Reader(flood, inbox, time.perf_counter).close()
    *messages, last = inbox.drain()
    assert flood.closed
    assert len(messages) == 100
    assert inbox.dropped > 0
    assert isinstance(last, Lost)


def test_a_port_that_fails_is_told_and_falls_silent() -> None:
    """Even if it is the sound that fails, no thread dies unseen."""
    sounded: list[HoleState | None] = []
    reader = Reader(Flood(fails_after=3), Inbox(), time.perf_counter, Monitor(sounded.append, DEFAULT_MAP))
    reader.close()
    assert reader.trouble == "the MIDI port failed; plug it in again"
    assert sounded[0] == chart(Note.LOW_A)
    assert sounded[-1] is None

    def broken(state: HoleState | None) -> None:
        raise RuntimeError("no loudspeaker")

    deaf = Reader(Flood(), Inbox(), time.perf_counter, Monitor(broken, DEFAULT_MAP))
    deaf.close()
    assert deaf.trouble
    assert "no loudspeaker" in deaf.trouble


def test_even_what_would_end_a_thread_without_a_word_is_told() -> None:
    """SystemExit ends a thread silently."""

    class Exits(Flood):
        def read(self) -> Stamped | None:
            raise SystemExit("gone")

    inbox = Inbox()
    reader = Reader(Exits(), inbox, time.perf_counter)
    reader.close()
    assert reader.trouble == "reading the MIDI port has failed (SystemExit: gone); plug the instrument in again"
    assert [type(each) for each in inbox.drain()] == [Lost]


def test_a_reader_without_a_thread_is_a_port_that_is_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system gives no more threads."""

    def refuse(thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", refuse)
    inbox = Inbox()
    reader = Reader(Flood(), inbox, time.perf_counter)
    reader.close()
    assert reader.trouble
    assert "can't start new thread" in reader.trouble
    assert [type(each) for each in inbox.drain()] == [Lost]


def test_an_inbox_that_is_full_counts_what_it_drops() -> None:
    """What it holds already is kept."""
    inbox = Inbox(limit=2)
    for at_s in (1.0, 2.0, 3.0):
        inbox.put(Stamped(at_s, b"\x90\x45\x40"))
    assert [each.at_s for each in inbox.drain()] == [1.0, 2.0]
    assert inbox.dropped == 1
