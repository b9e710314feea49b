"""Ports that are open through PortMidi, and that can be closed for a moment while it is initialised anew."""

from __future__ import annotations

import contextlib
import time
from abc import ABC, abstractmethod
from collections import deque
from collections.abc import Mapping
from typing import Any

from companion.files.streams import quiet_libraries
from companion.midi.ports.portmidi.devices import Devices
from companion.midi.ports.portmidi.events import EventJoiner, arrived_s
from companion.midi.ports.portmidi.library import PORTMIDI_ERRORS
from companion.midi.stream.line import Stamped
from fingering.errors import UserError

_QUEUE_LIMIT = 16384  # events that PortMidi keeps while the reading thread is held up
_MOST_AT_ONCE = 1024  # events; PortMidi hands out no more in one call
_AT_ONCE_MS = 0
"""An output with a latency of nought sends at once, whatever the time."""


class PortMidiPort(ABC):
    """A port by name, open for as long as `close` was not called. `begin` opens it, and again after `pause`."""

    def __init__(self, midi: Any, name: str) -> None:
        self.name = name
        self.is_open = True
        self._midi = midi
        self._stream: Any = None
        self._trouble: UserError | None = None

    @abstractmethod
    def begin(self, devices: Devices) -> None:
        """Open it by its number among these devices. Raises UserError if it is gone or refuses."""

    def pause(self) -> None:
        """Close it for a moment."""
        with contextlib.suppress(*PORTMIDI_ERRORS.kinds), quiet_libraries():
            if self._stream:
                self._stream.close()
        self._stream = None

    def fail(self, trouble: UserError) -> None:
        """Whoever uses it next is told this."""
        self._trouble = trouble

    def close(self) -> None:
        """Let the port go; a port that is gone already is no error."""
        self.is_open = False
        self.pause()

    def _opened_by(self, opener: Any, numbers: Mapping[str, int], *limits: int) -> Any:
        with PORTMIDI_ERRORS.opening(self.name), quiet_libraries():
            if self.name not in numbers:
                raise LookupError("there is none of that name")
            return opener(numbers[self.name], *limits)


class PortMidiInput(PortMidiPort):
    """An open input. `read` is for one thread."""

    def __init__(self, midi: Any, name: str) -> None:
        super().__init__(midi, name)
        self._joiner = EventJoiner()
        self._waiting: deque[Stamped] = deque()
        self._last_s = 0.0

    def begin(self, devices: Devices) -> None:
        """Open it by its number among these devices. Raises UserError if it is gone or refuses."""
        self._stream = self._opened_by(self._midi.Input, devices.inputs, _QUEUE_LIMIT)
        self._joiner = EventJoiner()
        with contextlib.suppress(AttributeError):
            # Active Sensing is a sign of life, which PortMidi leaves out unless it is asked for everything.
            self._stream._input.SetFilter(0)

    def pause(self) -> None:
        """Close it for a moment; what came so far can still be read."""
        if self._stream:
            with contextlib.suppress(UserError):
                self._fetch()
        super().pause()

    def read(self) -> Stamped | None:
        """The next message, None when there is none waiting. Raises UserError when the port fails."""
        if not self._waiting:
            if self._trouble:
                raise self._trouble
            self._fetch()
        return self._waiting.popleft() if self._waiting else None

    def _fetch(self) -> None:
        with PORTMIDI_ERRORS.reading():
            events = self._stream.read(_MOST_AT_ONCE)
            now_ms, now_s = self._midi.time(), time.perf_counter()
        for event, stamp_ms in events:
            self._last_s = max(self._last_s, arrived_s(stamp_ms, now_ms, now_s))
            self._waiting.extend(Stamped(self._last_s, data) for data in self._joiner.messages(event))


class PortMidiOutput(PortMidiPort):
    """An open output."""

    def begin(self, devices: Devices) -> None:
        """Open it by its number among these devices. Raises UserError if it is gone or refuses."""
        self._stream = self._opened_by(self._midi.Output, devices.outputs, _AT_ONCE_MS)

    def send(self, data: bytes) -> None:
        """Send one message of one to three bytes, as all of ours are. Raises UserError when the port fails."""
        if self._trouble:
            raise self._trouble
        with PORTMIDI_ERRORS.sending():
            self._stream.write_short(*data)
