"""MIDI ports that may come and go: opened by name, let go when they vanish, opened again when they come back."""

from __future__ import annotations

import enum
import time
from collections.abc import Iterator
from dataclasses import dataclass

from companion.files.lines import one_line, quoted
from companion.midi.driver import Driver
from companion.midi.line import Line, Timed
from companion.midi.monitor import Monitor
from companion.midi.port_names import meant, returned
from companion.midi.reader import Clock, Inbox, Lost, Reader
from fingering.errors import UserError

REFRESH_S = 1.0


class PortState(enum.Enum):
    """OPEN: listened to. AWAY: not there, and opened again when it comes back. REFUSED: there, but it does not open."""

    OPEN = "open"
    AWAY = "away"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Listening:
    """How to listen to a port: on one channel (0 to 15) or all, sounded by a monitor or not, stamped by which clock."""

    channel: int | None = None
    monitor: Monitor | None = None
    clock: Clock = time.perf_counter


class InputPort:
    """One input by name, for the main thread. `name` is what it was last called; `trouble` the line for the screen."""

    def __init__(self, name: str, driver: Driver, how: Listening) -> None:
        self.name = name
        self.state = PortState.AWAY
        self.trouble: str | None = None
        self.last_message_s: float | None = None
        self._driver = driver
        self._how = how
        self._inbox = Inbox()
        self._line = Line(how.channel)
        self._reader: Reader | None = None

    @property
    def dropped(self) -> int:
        """How many messages found no room: more than none means that the program did not fetch them for a minute."""
        return self._inbox.dropped

    def meet(self, present: tuple[str, ...]) -> None:
        """Compare with the inputs present now: open the port if it is there, let it go if it is not."""
        now_called = returned(self.name, present)
        if self._reader and (now_called != self.name or self._reader.trouble):
            self._let_go()
        if self._reader is None and now_called:
            self._open(now_called)
        if now_called is None:
            self.state, self.trouble = PortState.AWAY, f"{one_line(self.name)} is gone; plug it in again"

    def fetch(self) -> Iterator[Timed]:
        """Yield what came since the last call, in order, and what a lost port or the lapse of time lets go."""
        now_s = self._how.clock()
        for came in self._inbox.drain():
            if isinstance(came, Lost):
                yield from self._line.lose(came.at_s)
            else:
                self.last_message_s = came.at_s
                yield from self._line.feed(came.data, came.at_s)
        yield from self._line.pass_time(now_s)

    def close(self) -> None:
        """Let the port go for good; what came before can still be fetched."""
        if self._reader:
            self._let_go()

    def _open(self, name: str) -> None:
        try:
            handle = self._driver.open_input(name)
        except UserError as error:
            self.state, self.trouble = PortState.REFUSED, str(error)
        else:
            self._reader = Reader(handle, self._inbox, self._how.clock, self._how.monitor)
            self.name, self.state, self.trouble = name, PortState.OPEN, None

    def _let_go(self) -> None:
        if self._reader:
            self._reader.close()
        self._reader = None
        self.state = PortState.AWAY


class Ports:
    """All ports, kept up to date on the main thread: rtmidi does not tell when one comes or goes."""

    def __init__(self, driver: Driver) -> None:
        self._driver = driver
        self._listening: list[InputPort] = []
        self._refreshed_s = float("-inf")
        self.trouble: str | None = None
        self.inputs: tuple[str, ...] = ()
        self._list()

    def refresh(self, now_s: float) -> None:
        """Once every REFRESH_S compare the list of ports with the last one, and reopen what came back.

        `trouble` is the line for the screen while the ports cannot be listed; every port counts as away then.
        """
        if now_s - self._refreshed_s >= REFRESH_S:
            self._refreshed_s = now_s
            self._list()
            for port in self._listening:
                port.meet(self.inputs)

    def listen(self, wanted: str, how: Listening) -> InputPort:
        """Open the input that a user means by `wanted`. Raises UserError if none fits or it does not open."""
        self._list()
        port = self.await_port(meant(wanted, self.inputs), how)
        if port.state is PortState.REFUSED:
            self._listening.remove(port)
            raise UserError(f"the MIDI port {quoted(port.name)} cannot be opened", "see that no other program holds it")
        return port

    def await_port(self, name: str, how: Listening) -> InputPort:
        """Listen to a remembered port as soon as it is there, which may be at once, later or never."""
        port = InputPort(name, self._driver, how)
        port.meet(self.inputs)
        self._listening.append(port)
        return port

    def drop(self, port: InputPort) -> None:
        """Listen to a port no longer; what came before can still be fetched."""
        self._listening.remove(port)
        port.close()

    def close(self) -> None:
        """Let every port go and leave the MIDI system."""
        for port in self._listening:
            port.close()
        self._listening.clear()
        self._driver.close()

    def _list(self) -> None:
        try:
            self.inputs, self.trouble = self._driver.inputs(), None
        except UserError as error:
            self.inputs, self.trouble = (), str(error)
