"""The one place that talks to python-rtmidi: lists and opens ports, and turns its errors into ours."""

from __future__ import annotations

import contextlib
import enum
import importlib
import importlib.util
from collections.abc import Iterator
from typing import Any

from companion.files.lines import quoted
from companion.files.streams import quiet_libraries
from fingering.errors import UserError

CLIENT_NAME = "eightholes"
_QUEUE_LIMIT = 16384  # messages that rtmidi keeps while the reading thread is held up


class Backend(enum.Enum):
    """Whose ports: the system's usual ones (ALSA on Linux), or those of a running JACK server."""

    SYSTEM = "system"
    JACK = "jack"


@contextlib.contextmanager
def _our_errors(what: str, remedy: str) -> Iterator[None]:
    """Turn whatever rtmidi raises (its errors are OSErrors and ValueErrors) into a UserError."""
    try:
        yield
    except (OSError, ValueError, RuntimeError) as error:
        raise UserError(f"{what} ({str(error).rstrip('.')})", remedy) from error


class InputHandle:
    """An open input. `read` is for one thread."""

    def __init__(self, midi_in: Any) -> None:
        self._midi_in = midi_in

    def read(self) -> bytes | None:
        """The next message's bytes, None when there is none waiting. Raises UserError when the port fails."""
        with _our_errors("the MIDI port failed", "plug the instrument in again"):
            got = self._midi_in.get_message()
        return bytes(got[0]) if got else None

    def close(self) -> None:
        """Let the port go; a port that is gone already is no error."""
        with contextlib.suppress(OSError, ValueError, RuntimeError), quiet_libraries():
            self._midi_in.close_port()
            self._midi_in.delete()


class OutputHandle:
    """An open output."""

    def __init__(self, midi_out: Any) -> None:
        self._midi_out = midi_out

    def send(self, data: bytes) -> None:
        """Send one message. Raises UserError when the port fails."""
        with _our_errors("the MIDI out port failed", "connect the synthesiser again"):
            self._midi_out.send_message(list(data))

    def close(self) -> None:
        """Let the port go; a port that is gone already is no error."""
        with contextlib.suppress(OSError, ValueError, RuntimeError), quiet_libraries():
            self._midi_out.close_port()
            self._midi_out.delete()


class Driver:
    """The MIDI ports of this computer. Opening it is what fails where there is no MIDI: Raises UserError."""

    def __init__(self, backend: Backend = Backend.SYSTEM) -> None:
        self._rtmidi = _import_rtmidi()
        jack = backend is Backend.JACK
        self._api = self._rtmidi.API_UNIX_JACK if jack else self._rtmidi.API_UNSPECIFIED
        remedy = "start jackd" if jack else "play on the computer's keys, or start jackd and choose JACK"
        with (
            _our_errors(f"this computer offers no MIDI ports through {backend.value} drivers", remedy),
            quiet_libraries(),
        ):
            self._for_inputs = self._rtmidi.MidiIn(rtapi=self._api, name=f"{CLIENT_NAME} list in")
            self._for_outputs = self._rtmidi.MidiOut(rtapi=self._api, name=f"{CLIENT_NAME} list out")

    def inputs(self) -> tuple[str, ...]:
        """The names of the ports that can be listened to, our own left out."""
        return self._names(self._for_inputs)

    def outputs(self) -> tuple[str, ...]:
        """The names of the ports that can be sent to, our own left out."""
        return self._names(self._for_outputs)

    def open_input(self, name: str) -> InputHandle:
        """Open the input of exactly this name. Raises UserError if it is gone or refuses."""
        with _refusals(name), quiet_libraries():
            midi_in = self._rtmidi.MidiIn(rtapi=self._api, name=CLIENT_NAME, queue_size_limit=_QUEUE_LIMIT)
            # Clock and Active Sensing are signs of life; system exclusive tells us nothing.
            midi_in.ignore_types(sysex=True, timing=False, active_sense=False)
            midi_in.open_port(midi_in.get_ports().index(name), name="in")
            return InputHandle(midi_in)

    def open_output(self, name: str) -> OutputHandle:
        """Open the output of exactly this name. Raises UserError if it is gone or refuses."""
        with _refusals(name), quiet_libraries():
            midi_out = self._rtmidi.MidiOut(rtapi=self._api, name=CLIENT_NAME)
            midi_out.open_port(midi_out.get_ports().index(name), name="out")
            return OutputHandle(midi_out)

    def close(self) -> None:
        """Leave the MIDI system."""
        with contextlib.suppress(OSError, ValueError, RuntimeError), quiet_libraries():
            self._for_inputs.delete()
            self._for_outputs.delete()

    @staticmethod
    def _names(client: Any) -> tuple[str, ...]:
        with _our_errors("the MIDI ports cannot be listed", "see that the MIDI system still runs"):
            return tuple(name for name in client.get_ports() if not name.startswith(CLIENT_NAME))


def check_rtmidi() -> None:
    """See whether python-rtmidi is here, without loading it. Raises UserError."""
    if importlib.util.find_spec("rtmidi") is None:
        raise _no_rtmidi()


def _import_rtmidi() -> Any:
    try:
        return importlib.import_module("rtmidi")
    except ImportError:
        raise _no_rtmidi() from None


def _no_rtmidi() -> UserError:
    return UserError(
        "there is no python-rtmidi here, so MIDI ports cannot be opened",
        "play on the computer's keys, or install python-rtmidi (Python 3.11 and 3.12 have it ready made)",
    )


def _refusals(name: str) -> contextlib.AbstractContextManager[None]:
    return _our_errors(
        f"the MIDI port {quoted(name)} cannot be opened", "see that it is plugged in and that no other program holds it"
    )
