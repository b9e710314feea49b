"""The ports of PortMidi, which comes in pygame's wheel as pygame.midi: the system's own, never those of JACK.

PortMidi knows the devices there were when it was initialised. It is initialised anew before a port is opened if devices
came or went since; that closes the ports that are open, which are opened again at once. What waits in them is read
before; what is played in those few ms is lost. While any port is open, `watch` tells what comes and goes.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import Any, Protocol, TypeVar

from companion.files.streams import quiet_libraries
from companion.midi.ports.driver import PortNames
from companion.midi.ports.portmidi.library import PORTMIDI_ERRORS, load, renewed
from companion.midi.ports.portmidi.ports import PortMidiInput, PortMidiOutput, PortMidiPort
from companion.midi.ports.portmidi.watch import PortMidiWatch
from fingering.errors import UserError

_Port = TypeVar("_Port", bound=PortMidiPort)


class Watch(Protocol):
    """Sees which devices come and go: see `PortMidiWatch`."""

    names: PortNames
    changed: bool

    @property
    def trouble(self) -> UserError | None:
        """Why it tells nothing any more, None while it does."""

    def since(self, known: PortNames) -> None:
        """From now on `names` is this until it is told otherwise, and `changed` whether it ever was."""

    def ask(self) -> None:
        """Have the devices listed; `names` follows when it is told."""

    def close(self) -> None:
        """End it."""


class PortMidiDriver:
    """The system's ports. Raises ImportError without pygame.midi; where no MIDI system runs there are no ports."""

    def __init__(self, midi: Any = None, watching: Callable[[PortNames], Watch] = PortMidiWatch) -> None:
        """Made by default of the module pygame.midi, and of a process that watches which devices there are."""
        self.trouble: UserError | None = None
        self._midi = midi or load()
        self._watching = watching
        self._ports: list[PortMidiPort] = []
        self._watch: Watch | None = None
        self._devices = renewed(self._midi)

    def names(self) -> PortNames:
        """The ports there are; while one is open, as they were told after the call before. Raises UserError.

        A watch that has ended is `trouble`, and another follows it.
        """
        self.trouble = None
        if not self._opened():
            self._renew()
            return self._devices.names
        if self._watch and self._watch.trouble:
            self.trouble = self._watch.trouble
            self._watch.close()
            self._watch = None
        if self._watch is None:
            self._watch = self._watching(self._devices.names)
        self._watch.ask()
        return self._watch.names

    def open_input(self, name: str) -> PortMidiInput:
        """Open the input of exactly this name. Raises UserError if it is gone or refuses."""
        return self._begun(PortMidiInput(self._midi, name))

    def open_output(self, name: str) -> PortMidiOutput:
        """Open the output of exactly this name. Raises UserError if it is gone or refuses."""
        return self._begun(PortMidiOutput(self._midi, name))

    def close(self) -> None:
        """Leave the MIDI system."""
        for port in self._opened():
            port.close()
        if self._watch:
            self._watch.close()
        with contextlib.suppress(*PORTMIDI_ERRORS.kinds), quiet_libraries():
            self._midi.quit()

    def _opened(self) -> list[PortMidiPort]:
        self._ports = [port for port in self._ports if port.is_open]
        return self._ports

    def _begun(self, port: _Port) -> _Port:
        if not self._opened() or (self._watch and self._watch.changed):
            self._renew()
        port.begin(self._devices)
        self._ports.append(port)
        return port

    def _renew(self) -> None:
        """Initialise PortMidi anew; a port that does not open again tells whoever uses it next."""
        for port in self._opened():
            port.pause()
        self._devices = renewed(self._midi)
        if self._watch:
            self._watch.since(self._devices.names)
        for port in self._opened():
            try:
                port.begin(self._devices)
            except UserError as error:
                port.fail(error)
