"""Cuts a stream of MIDI bytes into whole messages: running status, real-time bytes in the middle, system exclusive.

mido decodes the messages but cuts them otherwise: its parser forgets running status after each message, and a real-time
byte inside a message makes it drop that message. Source of every rule: MIDI 1.0 Detailed Specification 4.2.1, pp. 5-6.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

_DATA_BYTES_OF_VOICE = {0x80: 2, 0x90: 2, 0xA0: 2, 0xB0: 2, 0xC0: 1, 0xD0: 1, 0xE0: 2}
_DATA_BYTES_OF_COMMON = {0xF1: 1, 0xF2: 2, 0xF3: 1, 0xF6: 0}
_UNDEFINED_REAL_TIME = frozenset({0xF9, 0xFD})
_FIRST_COMMON, FIRST_REAL_TIME = 0xF0, 0xF8


def data_bytes_of(status: int) -> int | None:
    """How many data bytes follow a status below `FIRST_REAL_TIME`; None where no fixed number does."""
    if status < _FIRST_COMMON:
        return _DATA_BYTES_OF_VOICE.get(status & 0xF0)
    return _DATA_BYTES_OF_COMMON.get(status)


class Framer:
    """Cuts bytes into whole messages as they are completed. Any bytes may come; what makes no message is dropped.

    System exclusive is passed over whole, however long it is.
    """

    def __init__(self) -> None:
        self._status: int | None = None
        self._data = bytearray()

    def feed(self, data: Iterable[int]) -> Iterator[bytes]:
        """Take in bytes (0 to 255 each) and yield every message that they complete."""
        for byte in data:
            message = self._real_time(byte) if byte >= FIRST_REAL_TIME else self._byte(byte)
            if message is not None:
                yield message

    @staticmethod
    def _real_time(byte: int) -> bytes | None:
        """The real-time message of a byte, None for other bytes; it may stand anywhere and disturbs nothing."""
        return None if byte in _UNDEFINED_REAL_TIME else bytes((byte,))

    def _byte(self, byte: int) -> bytes | None:
        if byte >= 0x80:
            self._status = byte
            self._data.clear()
        elif self._wanted() is not None:
            self._data.append(byte)
        return self._completed()

    def _wanted(self) -> int | None:
        """How many data bytes the running status asks for; None where data bytes mean nothing."""
        return None if self._status is None else data_bytes_of(self._status)

    def _completed(self) -> bytes | None:
        if self._status is None or self._wanted() != len(self._data):
            return None
        message = bytes((self._status, *self._data))
        self._data.clear()
        if self._status >= _FIRST_COMMON:
            self._status = None
        return message
