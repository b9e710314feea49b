"""The one place that talks to python-rtmidi: the system's ports, and those of JACK."""

from __future__ import annotations

import contextlib
import importlib
import time
from typing import Any

from companion.files.streams import quiet_libraries
from companion.midi.ports.driver import Backend, LibraryErrors, PortNames
from companion.midi.stream.line import Stamped

CLIENT_NAME = "eightholes"
_QUEUE_LIMIT = 16384  # messages that rtmidi keeps while the reading thread is held up

LEAVES_WITHIN_S = 0.3
"""JACK takes what is sent in its next cycle, of 85 ms at most, or some cycles later on a busy computer; a port that is
closed before drops it, and the last message is the one that silences a synthesiser."""

JOINS_WITHIN_S = 0.1
"""JACK joins two ports at its next cycle, and what is sent before that reaches nobody."""

_ERRORS = LibraryErrors((OSError, ValueError, RuntimeError))
"""rtmidi's own errors are OSErrors and ValueErrors."""


class RtMidiInput:
    """An open input. `read` is for one thread."""

    def __init__(self, midi_in: Any) -> None:
        self._midi_in = midi_in

    def read(self) -> Stamped | None:
        """The next message, None when there is none waiting. Raises UserError when the port fails."""
        with _ERRORS.reading():
            got = self._midi_in.get_message()
        return Stamped(time.perf_counter(), bytes(got[0])) if got else None

    def close(self) -> None:
        """Let the port go; a port that is gone already is no error."""
        with contextlib.suppress(*_ERRORS.kinds), quiet_libraries():
            self._midi_in.close_port()
            self._midi_in.delete()


class RtMidiOutput:
    """An open output."""

    def __init__(self, midi_out: Any) -> None:
        self._midi_out = midi_out
        self._sent_s = float("-inf")

    def send(self, data: bytes) -> None:
        """Send one message. Raises UserError when the port fails."""
        with _ERRORS.sending():
            self._midi_out.send_message(list(data))
        self._sent_s = time.perf_counter()

    def close(self) -> None:
        """Let the port go, once what was sent has left; a port that is gone already is no error."""
        time.sleep(max(0.0, self._sent_s + LEAVES_WITHIN_S - time.perf_counter()))
        with contextlib.suppress(*_ERRORS.kinds), quiet_libraries():
            self._midi_out.close_port()
            self._midi_out.delete()


class RtMidiDriver:
    """The ports of a backend. Raises ImportError without python-rtmidi, UserError where the backend does not run."""

    def __init__(self, backend: Backend) -> None:
        self._rtmidi = importlib.import_module("rtmidi")
        jack = backend is Backend.JACK
        self._api = self._rtmidi.API_UNIX_JACK if jack else self._rtmidi.API_UNSPECIFIED
        what = f"this computer offers no MIDI ports through {backend.value} drivers"
        remedy = "start jackd" if jack else "play on the computer's keys, or start jackd and choose JACK"
        with _ERRORS.told(what, remedy), quiet_libraries():
            self._for_inputs = self._rtmidi.MidiIn(rtapi=self._api, name=f"{CLIENT_NAME} list in")
            self._for_outputs = self._rtmidi.MidiOut(rtapi=self._api, name=f"{CLIENT_NAME} list out")

    @property
    def trouble(self) -> None:
        """Nothing that an error does not tell."""

    def names(self) -> PortNames:
        """The ports there are, our own left out. Raises UserError."""
        with _ERRORS.listing():
            return PortNames(_others(self._for_inputs), _others(self._for_outputs))

    def open_input(self, name: str) -> RtMidiInput:
        """Open the input of exactly this name. Raises UserError if it is gone or refuses."""
        with _ERRORS.opening(name), quiet_libraries():
            midi_in = self._rtmidi.MidiIn(rtapi=self._api, name=CLIENT_NAME, queue_size_limit=_QUEUE_LIMIT)
            # Clock and Active Sensing are signs of life; system exclusive tells us nothing.
            midi_in.ignore_types(sysex=True, timing=False, active_sense=False)
            midi_in.open_port(midi_in.get_ports().index(name), name="in")
            return RtMidiInput(midi_in)

    def open_output(self, name: str) -> RtMidiOutput:
        """Open the output of exactly this name. Raises UserError if it is gone or refuses."""
        with _ERRORS.opening(name), quiet_libraries():
            midi_out = self._rtmidi.MidiOut(rtapi=self._api, name=CLIENT_NAME)
            midi_out.open_port(midi_out.get_ports().index(name), name="out")
            time.sleep(JOINS_WITHIN_S)
            return RtMidiOutput(midi_out)

    def close(self) -> None:
        """Leave the MIDI system."""
        with contextlib.suppress(*_ERRORS.kinds), quiet_libraries():
            self._for_inputs.delete()
            self._for_outputs.delete()


def _others(client: Any) -> tuple[str, ...]:
    return tuple(name for name in client.get_ports() if not name.startswith(CLIENT_NAME))
