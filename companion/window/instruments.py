"""The instruments that can be played in: the MIDI ports, and what is known of each of them."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from companion.midi.driver import Backend, Driver
from companion.midi.map_text import Map
from companion.midi.memory import PortMemory, change_memory, read_memory
from companion.midi.monitor import Monitor, Sound
from companion.midi.outlet import Outlet
from companion.midi.port_names import meant
from companion.midi.ports import InputPort, Listening, Ports
from fingering.errors import UserError


class Instruments:
    """Ports and memory together. What is missing costs a line, kept in `trouble`, and the rest goes on.

    `forgotten` is the line for the screen where what was known of the ports could not be read.
    """

    def __init__(self, folder: Path, backend: Backend, clock: Callable[[], float] = time.perf_counter) -> None:
        self.trouble = ""
        self.forgotten = ""
        self._folder = folder
        self._clock = clock
        self._memory = self._read()
        self._driver, self._ports = self._opened(backend)

    @property
    def inputs(self) -> tuple[str, ...]:
        """The ports that can be listened to now."""
        return self._ports.inputs if self._ports else ()

    @property
    def last_used(self) -> str | None:
        """The port that was used last."""
        return self._memory.last_used

    def refresh(self) -> None:
        """Look, once a second, which ports came and went."""
        if self._ports:
            self._ports.refresh(self._clock())

    def listen(self, wanted: str, sound: Sound) -> InputPort:
        """Open the port that a user means, and sound at once what comes. Raises UserError if none fits or opens."""
        if self._ports is None:
            raise UserError(self.trouble or "there are no MIDI ports", "play on the computer's keys with I")
        name = meant(wanted, self._ports.inputs)
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
        return self._memory.about(name).known

    def learn(self, name: str, known: Map) -> None:
        """Keep a map for a port."""
        self._keep(lambda memory: memory.learning(name, known))

    def used(self, name: str) -> None:
        """Remember that a port was played on."""
        now = datetime.now(UTC)
        self._keep(lambda memory: memory.using(name, now))

    def outlet(self, wanted: str) -> Outlet:
        """Open the out port that a user means. Raises UserError."""
        if self._driver is None:
            raise UserError(f"'{wanted}' cannot be sent to: {self.trouble}", "leave --midi-out away")
        return Outlet(self._driver.open_output(meant(wanted, self._driver.outputs())))

    def close(self) -> None:
        """Let all ports go."""
        if self._ports:
            self._ports.close()

    def _how(self, name: str, sound: Sound) -> Listening:
        about = self._memory.about(name)
        monitor = Monitor(sound, about.known, channel=about.channel)
        return Listening(about.channel, monitor, self._clock)

    def _read(self) -> PortMemory:
        try:
            return read_memory(self._folder)
        except UserError as error:
            self.forgotten = str(error)
            return PortMemory()

    def _opened(self, backend: Backend) -> tuple[Driver | None, Ports | None]:
        try:
            driver = Driver(backend)
            return driver, Ports(driver)
        except UserError as error:
            self.trouble = str(error)
            return None, None

    def _keep(self, change: Callable[[PortMemory], PortMemory]) -> None:
        try:
            self._memory = change_memory(self._folder, change, self._memory)
        except UserError as error:
            self._memory = change(self._memory)
            self.trouble = str(error)
