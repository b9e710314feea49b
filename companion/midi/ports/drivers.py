"""Which MIDI driver opens the ports: python-rtmidi where it is installed, else the PortMidi that comes in pygame."""

from __future__ import annotations

import importlib.util

from companion.midi.ports.driver import Backend, Driver
from companion.midi.ports.portmidi.driver import PortMidiDriver
from companion.midi.ports.rtmidi_driver import RtMidiDriver
from fingering.errors import UserError


def check_backend(backend: Backend) -> None:
    """See whether there is a driver of this backend's ports, without loading one. Raises UserError."""
    if backend is Backend.JACK and not _has_rtmidi():
        raise _no_jack()


def open_driver(backend: Backend) -> Driver:
    """The driver of this backend's ports. Raises UserError where there is none."""
    if not _has_rtmidi():
        check_backend(backend)
        return _portmidi()
    try:
        return RtMidiDriver(backend)
    except ImportError:  # installed, but for another computer
        if backend is Backend.JACK:
            raise _no_jack() from None
        return _portmidi()


def _portmidi() -> Driver:
    try:
        return PortMidiDriver()
    except ImportError:
        raise UserError(
            "MIDI ports need python-rtmidi or a pygame with pygame.midi, and neither is here",
            "play on the computer's keys, or install pygame again",
        ) from None


def _has_rtmidi() -> bool:
    return importlib.util.find_spec("rtmidi") is not None


def _no_jack() -> UserError:
    return UserError(
        "JACK's MIDI ports need python-rtmidi, which is not here",
        "use the system's ports, or install python-rtmidi (Python 3.11 and 3.12 have it ready made)",
    )
