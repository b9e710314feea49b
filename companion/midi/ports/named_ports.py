"""MIDI ports that may come and go: opened by name, let go when they vanish, opened again when they come back."""

from __future__ import annotations

import enum
import time
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from companion.files.lines import one_line
from companion.midi.ports.links import InputLink, LinkState
from companion.midi.ports.monitor import Monitor
from companion.midi.ports.outlet import Outlet
from companion.midi.ports.reader import Clock, Inbox, Lost, Reader
from companion.midi.ports.system import MidiSystem
from companion.midi.stream.line import SenderDecoder, Timed
from companion.midi.stream.port_names import port_meant, port_returned

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

    def __init__(self, name: str, how: Listening) -> None:
        self.name = name
        self.state = PortState.AWAY
        self.trouble: str | None = None
        self.last_message_s: float | None = None
        self._how = how
        self._inbox = Inbox()
        self._line = SenderDecoder(how.channel)
        self._link: InputLink | None = None
        self._reader: Reader | None = None
        self._refused_at = -1
        self._fault: str | None = None

    @property
    def dropped(self) -> int:
        """How many messages found no room: more than none means that the program did not fetch them for a minute."""
        return self._inbox.dropped

    def meet(self, system: MidiSystem, taken: Collection[str] = ()) -> None:
        """Once a frame: open the port if it is there, let it go if it is not, and take what has become of it.

        taken: ports that are listened to as others of this program. Of two instruments of one make that one does not
        come back as the other.
        """
        free = [each for each in system.inputs if each == self.name or each not in taken]
        now_called = port_returned(self.name, free)
        if self._link and self._link.state is not LinkState.LOST and self._reader and self._reader.trouble:
            self._fail(self._reader.trouble, system.told)
        elif self._link and (now_called != self._link.name or self._link.state is LinkState.LOST):
            self._let_go()
        if self._link is None and now_called and system.told > self._refused_at:
            self._link = system.open_input(now_called)
        if self._link:
            self._follow(self._link, system.told)
        if now_called is None:
            self.state, self.trouble = PortState.AWAY, f"{one_line(self.name)} is gone; plug it in again"
            self._fault = None

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

    def allow(self, stuck_after_s: float) -> None:
        """From now on a note that its monitor sounds is stuck after so many seconds with nothing new."""
        if self._how.monitor:
            self._how.monitor.allow(stuck_after_s)

    def close(self) -> None:
        """Let the port go for good; what came before can still be fetched."""
        self._let_go()

    def _fail(self, fault: str, told: int) -> None:
        """Reading it has failed, though the port has not: that is told until it has been away, however it goes on."""
        self._let_go()
        self._refused_at = told
        self.state, self.trouble, self._fault = PortState.REFUSED, fault, fault

    def _follow(self, link: InputLink, told: int) -> None:
        if link.state is LinkState.OPEN and self._reader is None:
            self._reader = Reader(link, self._inbox, self._how.clock, self._how.monitor)
            self.name, self.state, self.trouble = link.name, PortState.OPEN, self._fault
        elif link.state is LinkState.REFUSED:
            # It is tried again when the ports were listed anew.
            self._link, self._refused_at = None, told
            self.state, self.trouble = PortState.REFUSED, str(link.trouble)

    def _let_go(self) -> None:
        if self._reader:
            self._reader.close()
        elif self._link:
            self._link.close()
        self._reader = self._link = None
        self.state = PortState.AWAY


class Ports:
    """All ports, kept up to date from the main thread, which never waits for them."""

    def __init__(self, system: MidiSystem) -> None:
        self._system = system
        self._listening: list[InputPort] = []
        self._refreshed_s = float("-inf")
        system.ask()

    @property
    def known(self) -> bool:
        """Whether it is known by now which ports there are."""
        return self._system.known

    @property
    def inputs(self) -> tuple[str, ...]:
        """The ports that can be listened to, as last told."""
        return self._system.inputs

    @property
    def outputs(self) -> tuple[str, ...]:
        """The ports that can be sent to, as last told."""
        return self._system.outputs

    @property
    def trouble(self) -> str | None:
        """The line for the screen while the MIDI system cannot say which ports there are."""
        return str(self._system.trouble) if self._system.trouble else None

    def refresh(self, now_s: float) -> None:
        """Once a frame: open what came, let go what went. Once every REFRESH_S ask which ports there are."""
        if now_s - self._refreshed_s >= REFRESH_S:
            self._refreshed_s = now_s
            self._system.ask()
        for port in self._listening:
            self._meet(port)

    def listen(self, wanted: str, how: Listening) -> InputPort:
        """Begin to listen to the input that a user means by `wanted`. Raises UserError if none fits."""
        return self.await_port(port_meant(wanted, self.inputs), how)

    def await_port(self, name: str, how: Listening) -> InputPort:
        """Listen to a remembered port as soon as it is there, which may be at once, later or never."""
        port = InputPort(name, how)
        self._meet(port)
        self._listening.append(port)
        return port

    def _meet(self, port: InputPort) -> None:
        others = (each for each in self._listening if each is not port and each.state is PortState.OPEN)
        port.meet(self._system, {each.name for each in others})

    def outlet(self, wanted: str) -> Outlet:
        """Send to the output that a user means by `wanted`. Raises UserError if none fits."""
        return Outlet(self._system.open_output(port_meant(wanted, self.outputs)))

    def drop(self, port: InputPort) -> None:
        """Listen to a port no longer; what came before can still be fetched."""
        self._listening.remove(port)
        port.close()

    def close(self) -> None:
        """Let every port go and leave the MIDI system."""
        for port in self._listening:
            port.close()
        self._listening.clear()
        self._system.close()
