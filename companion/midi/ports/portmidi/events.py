"""What PortMidi hands out, turned into messages with their time: pure.

An event is four bytes and a time in whole ms. A message is one event, and what of the four bytes it does not need is
nought. System exclusive comes in pieces of four bytes, the last one filled up after its end (F7H); a real-time message
may come between two pieces. Source: portmidi.h of PortMidi 2.0, at PmEvent.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from companion.midi.stream.framing import FIRST_REAL_TIME, data_bytes_of

_FIRST_STATUS = 0x80
_END_OF_SYSEX = 0xF7
_OF_SYSEX = (0xF0, _END_OF_SYSEX)
_RESOLUTION_MS = 1
_OLDEST_MS = 60_000
"""A message that is said to have waited for longer than this was stamped by another clock."""


class EventJoiner:
    """Turns the events of one port into messages. System exclusive, which tells us nothing, is left out whole."""

    def __init__(self) -> None:
        self._in_sysex = False

    def messages(self, event: Sequence[int]) -> Iterator[bytes]:
        """The messages in an event, four numbers of 0 to 255: mostly one, none in a piece of system exclusive."""
        first = event[0]
        if first >= FIRST_REAL_TIME:
            yield bytes((first,))
        elif first in _OF_SYSEX or (self._in_sysex and first < _FIRST_STATUS):
            yield from self._piece(event)
        else:
            self._in_sysex = False  # one that is broken off has no end
            count = data_bytes_of(first)
            if count is not None:
                yield bytes(event[: 1 + count])

    def _piece(self, event: Sequence[int]) -> Iterator[bytes]:
        self._in_sysex = True
        for byte in event:
            if byte == _END_OF_SYSEX:
                self._in_sysex = False
                return
            if byte >= FIRST_REAL_TIME:
                yield bytes((byte,))


def arrived_s(stamp_ms: int, now_ms: int, now_s: float) -> float:
    """When an event came, on the clock of `now_s`; `now_ms` is the same moment on the clock of `stamp_ms`.

    What came within the last ms is stamped now, which is finer than PortMidi's clock where ports are polled more often.
    """
    waited_ms = now_ms - stamp_ms
    return now_s - waited_ms / 1000.0 if _RESOLUTION_MS < waited_ms <= _OLDEST_MS else now_s
