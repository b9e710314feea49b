"""Reads an open port from a small thread, sounds what comes at once, and keeps it for the frame that fetches it."""

from __future__ import annotations

import contextlib
import threading
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

from companion.files.worker import Worker, fault_line
from companion.midi.ports.monitor import Monitor
from companion.midi.stream.line import Stamped

POLL_S = 0.0005
MOST_AT_ONCE = 4096
"""Messages read before looking whether to stop, so that a sender that floods the port cannot prevent it."""

INBOX_LIMIT = 65536
"""Messages kept for a frame that does not come: over a minute at 1,000 a second."""

Clock = Callable[[], float]


@dataclass(frozen=True, slots=True)
class Lost:
    """The port went away at `at_s`."""

    at_s: float


class Inbox:
    """What came in and was not yet fetched: filled by one thread, emptied by another. Beyond its limit it counts."""

    def __init__(self, limit: int = INBOX_LIMIT) -> None:
        self._waiting: deque[Stamped | Lost] = deque()
        self._limit = limit
        self.dropped = 0

    def put(self, came: Stamped | Lost) -> None:
        """Keep it, or count it as dropped when there is no room; there is always room to say that the port is lost."""
        if len(self._waiting) < self._limit or isinstance(came, Lost):
            self._waiting.append(came)
        else:
            self.dropped += 1

    def drain(self) -> Iterator[Stamped | Lost]:
        """Take out what was there at the time of the call, oldest first."""
        for _ in range(len(self._waiting)):
            yield self._waiting.popleft()


class Handle(Protocol):
    """An open input: see `links.InputLink`."""

    def read(self) -> Stamped | None:
        """The next message, None when there is none waiting. Raises UserError when the port fails."""

    def wait(self, seconds: float) -> None:
        """Wait for a message, but no longer than this."""

    def close(self) -> None:
        """Let the port go."""


class Reader:
    """Reads an open input in a thread of its own, and puts every message in the inbox.

    A monitor, if there is one, sounds each message at once. Whatever goes wrong here ends in `trouble`, never in a
    thread that died unseen.
    """

    def __init__(self, handle: Handle, inbox: Inbox, clock: Clock, monitor: Monitor | None = None) -> None:
        self.trouble: str | None = None
        self._handle = handle
        self._inbox = inbox
        self._clock = clock
        self._monitor = monitor
        self._stop = threading.Event()
        self._worker = Worker(self._run, "midi reader")
        self._worker.start()
        if self._worker.error and not self.trouble:  # the system has no thread to give
            self._fail(self._worker.error)

    def close(self) -> None:
        """Stop reading and let the port go."""
        self._stop.set()
        self._worker.join()
        self._handle.close()

    def _run(self) -> None:
        try:
            while not self._stop.is_set():
                self._read_waiting()
                if self._monitor:
                    self._monitor.pass_time(self._clock())
                self._handle.wait(POLL_S)
            self._read_waiting()
        except BaseException as error:
            self._fail(error)
            raise
        self._end()

    def _fail(self, error: BaseException) -> None:
        """Tell it before the port is said to be lost, since whoever hears of that asks why."""
        self.trouble = fault_line("reading the MIDI port has failed", error, "plug the instrument in again")
        self._end()

    def _read_waiting(self) -> None:
        for _ in range(MOST_AT_ONCE):
            stamped = self._handle.read()
            if stamped is None:
                return
            self._inbox.put(stamped)
            if self._monitor:
                self._monitor.take(stamped)

    def _end(self) -> None:
        now_s = self._clock()
        self._inbox.put(Lost(now_s))
        if self._monitor:
            with contextlib.suppress(Exception):  # if sounding is what failed, `trouble` tells it already
                self._monitor.lose(now_s)
