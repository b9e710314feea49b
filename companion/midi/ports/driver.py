"""What a MIDI driver is: it lists and opens the ports of this computer. `drivers` says which there are."""

from __future__ import annotations

import contextlib
import enum
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from companion.files.lines import quoted
from fingering.errors import UserError

if TYPE_CHECKING:  # a command that names the back ends loads no MIDI
    from companion.midi.stream.line import Stamped


class Backend(enum.Enum):
    """Whose ports: the system's usual ones (ALSA on Linux), or those of a running JACK server."""

    SYSTEM = "system"
    JACK = "jack"


@dataclass(frozen=True, slots=True)
class PortNames:
    """The ports that can be listened to, and those that can be sent to; each name stands once in its row."""

    inputs: tuple[str, ...]
    outputs: tuple[str, ...]


class InputHandle(Protocol):
    """An open input. `read` is for one thread."""

    def read(self) -> Stamped | None:
        """The next message, None when there is none waiting. Raises UserError when the port fails."""

    def close(self) -> None:
        """Let the port go; a port that is gone already is no error."""


class OutputHandle(Protocol):
    """An open output."""

    def send(self, data: bytes) -> None:
        """Send one message. Raises UserError when the port fails."""

    def close(self) -> None:
        """Let the port go; a port that is gone already is no error."""


class Driver(Protocol):
    """The MIDI ports of this computer. To make one is what fails where there is no MIDI, by a UserError."""

    @property
    def trouble(self) -> UserError | None:
        """What is wrong though the ports could be listed, None while all is well."""

    def names(self) -> PortNames:
        """The ports there are, our own left out. Raises UserError."""

    def open_input(self, name: str) -> InputHandle:
        """Open the input of exactly this name. Raises UserError if it is gone or refuses."""

    def open_output(self, name: str) -> OutputHandle:
        """Open the output of exactly this name. Raises UserError if it is gone or refuses."""

    def close(self) -> None:
        """Leave the MIDI system."""


@dataclass(frozen=True, slots=True)
class LibraryErrors:
    """What a MIDI library raises, and the UserErrors that become of it; they say in brackets what the library said."""

    kinds: tuple[type[Exception], ...]

    @contextlib.contextmanager
    def told(self, what: str, remedy: str) -> Iterator[None]:
        """Say so."""
        try:
            yield
        except UserError:
            raise
        except self.kinds as error:
            raise UserError(f"{what} ({str(error).rstrip('.')})", remedy) from error

    def listing(self) -> contextlib.AbstractContextManager[None]:
        """While ports are listed."""
        return self.told("the MIDI ports cannot be listed", "see that the MIDI system still runs")

    def opening(self, name: str) -> contextlib.AbstractContextManager[None]:
        """While a port is opened."""
        return self.told(
            f"the MIDI port {quoted(name)} cannot be opened",
            "see that it is plugged in and that no other program holds it",
        )

    def reading(self) -> contextlib.AbstractContextManager[None]:
        """While an input is read."""
        return self.told("the MIDI port failed", "plug the instrument in again")

    def sending(self) -> contextlib.AbstractContextManager[None]:
        """While something is sent."""
        return self.told("the MIDI out port failed", "connect the synthesiser again")
