"""Turns the stamped bytes of one sender into timed messages, and lets go of its notes when it dies."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from companion.midi.stream.messages import ActiveSensing, Decoder, NotesOff, SystemReset, VoiceMessage

SENSING_TIMEOUT_S = 0.330
"""Silence from a sender of Active Sensing that means it is gone: MIDI 1.0 Detailed Specification 4.2.1, p. 32."""


@dataclass(frozen=True, slots=True)
class Stamped:
    """Bytes as they came in, with the time in seconds on the clock of time.perf_counter."""

    at_s: float
    data: bytes


@dataclass(frozen=True, slots=True)
class Timed:
    """A message with the time at which it came, in seconds on its source's clock."""

    at_s: float
    message: VoiceMessage


class SenderDecoder:
    """Decodes the bytes of one sender.

    A reset, a lost port and a lapse of Active Sensing become a NotesOff on every channel that the sender used. Active
    Sensing is enforced only once the sender has sent it. channel: 0 to 15, the only one listened to; None listens to
    all.
    """

    def __init__(self, channel: int | None = None) -> None:
        self._decoder = Decoder()
        self._channel = channel
        self._used: set[int] = set()
        self._last_sign_s: float | None = None

    def feed(self, data: Iterable[int], at_s: float) -> Iterator[Timed]:
        """Take in bytes (0 to 255 each) and yield the messages that they complete, after any lapse before them."""
        yield from self.pass_time(at_s)
        for message in self._decoder.feed(data):
            match message:
                case ActiveSensing():
                    self._last_sign_s = at_s
                case SystemReset():
                    yield from self._silence(at_s)
                case _ if self._channel is None or message.channel == self._channel:
                    self._used.add(message.channel)
                    yield Timed(at_s, message)
        if self._last_sign_s is not None:
            self._last_sign_s = at_s

    def pass_time(self, now_s: float) -> Iterator[Timed]:
        """Yield the NotesOff of a lapse of Active Sensing before `now_s`, stamped with the moment of the lapse."""
        if self._last_sign_s is None:
            return
        lapses_s = self._last_sign_s + SENSING_TIMEOUT_S
        if now_s > lapses_s:
            self._last_sign_s = None
            yield from self._silence(lapses_s)

    def lose(self, at_s: float) -> Iterator[Timed]:
        """The port went away: yield the NotesOff of its channels, and be ready for bytes that begin anywhere."""
        self._decoder = Decoder()
        self._last_sign_s = None
        yield from self._silence(at_s)

    def _silence(self, at_s: float) -> Iterator[Timed]:
        yield from (Timed(at_s, NotesOff(channel)) for channel in sorted(self._used))
