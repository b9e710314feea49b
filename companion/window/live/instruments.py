"""The instruments that can be played in: MIDI ports and microphones, and what is known of each of them."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from companion.files.lines import quoted
from companion.midi.maps.map_text import Map
from companion.midi.maps.memory import PortMemory
from companion.midi.ports.driver import Backend
from companion.midi.ports.monitor import Monitor, Sound
from companion.midi.ports.named_ports import InputPort, Listening, Ports
from companion.midi.ports.outlet import Outlet
from companion.midi.ports.system import MidiSystem
from companion.midi.stream.port_names import port_meant
from companion.window.live.input_messages import in_plain_words
from companion.window.live.memory_keeper import MemoryKeeper
from companion.window.live.microphone.known_microphones import KnownMicrophones
from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class WantedOut:
    """An out port that is asked for: who is to feed it once it is there, and who is told why it cannot be had."""

    name: str
    feed: Callable[[Outlet], None]
    tell: Callable[[str], None]


class Instruments:
    """Ports, microphones and memory together. What is missing costs a line, kept in `trouble`, and the rest goes on.

    microphones: which there are, None for those of this computer, with what is kept of them in `folder`.
    """

    def __init__(
        self,
        folder: Path,
        backend: Backend,
        clock: Callable[[], float] = time.perf_counter,
        microphones: KnownMicrophones | None = None,
    ) -> None:
        self.microphones = microphones or KnownMicrophones(folder)
        self._clock = clock
        self._keeper = MemoryKeeper(folder)
        self._trouble = ""
        self._ports = self._opened(backend)
        self._wanted_out: WantedOut | None = None

    @property
    def trouble(self) -> str:
        """The line for the screen about what is missing, "" while all is well."""
        return in_plain_words((self._ports.trouble if self._ports else None) or self._trouble)

    @property
    def unwritten(self) -> str:
        """Why what is learnt of the instruments cannot be kept, and what to do; "" while it is."""
        return self._keeper.trouble or self.microphones.unwritten

    @property
    def forgotten(self) -> str:
        """The line for the screen where what was known of the instruments could not be read, "" where it could."""
        return self._keeper.forgotten or self.microphones.forgotten

    @property
    def known_by_now(self) -> bool:
        """Whether it is known which ports there are: the MIDI system takes some tenths of a second to say so."""
        return self._ports is None or self._ports.known

    @property
    def inputs(self) -> tuple[str, ...]:
        """The ports that can be listened to now."""
        return self._ports.inputs if self._ports else ()

    @property
    def last_used(self) -> str | None:
        """The port that was used last."""
        return self._keeper.memory.last_used

    @property
    def last_microphone(self) -> str | None:
        """The microphone that was used last, None where a port was used after it."""
        return self._keeper.memory.last_microphone

    def refresh(self) -> None:
        """Once a frame: notice which instruments came and went."""
        self._keeper.refresh()
        self.microphones.refresh()
        if self._ports:
            self._ports.refresh(self._clock())
        wanted, known = self._wanted_out, self.known_by_now
        if wanted and known:
            self._wanted_out = None
            self._send_to(wanted)

    def listen(self, wanted: str, sound: Sound) -> InputPort:
        """Listen to the port that a user means, and sound at once what comes. Raises UserError if none fits."""
        if self._ports is None or (self.trouble and not self._ports.inputs):
            raise UserError(self.trouble or "there are no MIDI ports", "play on the computer's keys with I")
        name = port_meant(wanted, self._ports.inputs)
        return self._ports.listen(name, self._how(name, sound))

    def await_port(self, name: str, sound: Sound) -> InputPort | None:
        """Listen to a remembered port as soon as it is there; None where there can be no ports."""
        return self._ports.await_port(name, self._how(name, sound)) if self._ports else None

    def release(self, port: InputPort) -> None:
        """Listen to a port no longer."""
        if self._ports:
            self._ports.drop(port)

    def known(self, name: str) -> Map | None:
        """The map that was learnt for a port."""
        return self._keeper.memory.about(name).known

    def learn(self, name: str, known: Map) -> None:
        """Keep a map for a port."""
        self._keeper.change(lambda memory: memory.learning(name, known))

    def learner(self, name: str) -> str:
        """Who of a class plays on a port, "" for nobody."""
        return self._keeper.memory.about(name).learner

    def seat(self, name: str, learner: str) -> None:
        """Remember who of a class plays on a port, "" for nobody."""
        self._keeper.change(lambda memory: memory.seating(name, learner))

    def used(self, name: str) -> None:
        """Remember that a port was played on."""
        now = datetime.now(UTC)
        self._keeper.change(lambda memory: memory.using(name, now))

    def used_microphone(self, name: str) -> None:
        """Remember that a microphone was played on."""
        now = datetime.now(UTC)
        self._keeper.change(lambda memory: memory.using_microphone(name, now))

    def forget_used_microphone(self) -> None:
        """Open no microphone by itself the next time that the program is started."""
        if self.last_microphone is not None:
            self._keeper.change(PortMemory.without_microphones)

    def send_to(self, wanted: WantedOut) -> None:
        """Open the out port that a user means as soon as it is known which there are, at a `refresh`."""
        self._wanted_out = wanted

    def close(self) -> None:
        """Let all instruments go, and keep what was learnt of them."""
        if self._ports:
            self._ports.close()
        self.microphones.close()
        self._keeper.close()

    def _how(self, name: str, sound: Sound) -> Listening:
        about = self._keeper.memory.about(name)
        monitor = Monitor(sound, about.known, channel=about.channel)
        return Listening(about.channel, monitor, self._clock)

    def _opened(self, backend: Backend) -> Ports | None:
        try:
            return Ports(MidiSystem(backend))
        except UserError as error:
            self._trouble = str(error)
            return None

    def _send_to(self, wanted: WantedOut) -> None:
        try:
            if self._ports is None or (self.trouble and not self._ports.outputs):
                raise UserError(f"{quoted(wanted.name)} cannot be sent to: {self.trouble}", "leave --midi-out away")
            wanted.feed(self._ports.outlet(wanted.name))
        except UserError as error:
            wanted.tell(str(error))
