"""The MIDI messages that a chanter needs, and the decoder that picks them out of a stream of bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import mido

from companion.midi.stream.framing import Framer

BREATH_CONTROLLER = 2  # from memory of the controller table; its fine part would be 34 by the +32 rule, p. 12
ALL_SOUND_OFF = 120  # MIDI 1.0 Detailed Specification 4.2.1, pp. 24-25
ALL_NOTES_OFF = 123  # p. 20
_LAST_MODE_MESSAGE = 127  # 124 to 127 turn all notes off as well, p. 20
_KEPT = 4096  # messages that are made once only: a take has the same few thousands of times
BEND_STEPS = 8192  # either way from the centre, p. 19


@dataclass(frozen=True, slots=True)
class NoteOn:
    """A note was struck. `channel` 0 to 15, `number` 0 to 127; never with velocity 0, which is a NoteOff (p. 10)."""

    channel: int
    number: int


@dataclass(frozen=True, slots=True)
class NoteOff:
    """A note was let go, whichever of the two messages for it was sent."""

    channel: int
    number: int


@dataclass(frozen=True, slots=True)
class Control:
    """A controller moved: `controller` 0 to 119, `value` 0 to 127."""

    channel: int
    controller: int
    value: int


@dataclass(frozen=True, slots=True)
class NotesOff:
    """All Notes Off, All Sound Off or a change of mode, on one channel."""

    channel: int


@dataclass(frozen=True, slots=True)
class Pressure:
    """Channel aftertouch, `value` 0 to 127."""

    channel: int
    value: int


@dataclass(frozen=True, slots=True)
class Bend:
    """Pitch bend, `amount` -1 to just under 1 of whatever range the receiver chose."""

    channel: int
    amount: float


@dataclass(frozen=True, slots=True)
class ActiveSensing:
    """The sender tells that it is alive."""


@dataclass(frozen=True, slots=True)
class SystemReset:
    """The sender was reset: nothing sounds."""


VoiceMessage = NoteOn | NoteOff | Control | NotesOff | Pressure | Bend
Message = VoiceMessage | ActiveSensing | SystemReset


def _control(channel: int, controller: int, value: int) -> VoiceMessage | None:
    if controller < ALL_SOUND_OFF:
        return Control(channel, controller, value)
    silences = controller == ALL_SOUND_OFF or ALL_NOTES_OFF <= controller <= _LAST_MODE_MESSAGE
    return NotesOff(channel) if silences else None


# By the high four bits of the status byte, from the channel and the two data bytes: pp. 10, 18-20, numbers from memory.
_VOICE: dict[int, Callable[[int, int, int], VoiceMessage | None]] = {
    0x80: lambda channel, number, velocity: NoteOff(channel, number),
    0x90: lambda channel, number, velocity: (NoteOn if velocity else NoteOff)(channel, number),
    0xB0: _control,
    0xD0: lambda channel, value, unused: Pressure(channel, value),
    0xE0: lambda channel, fine, coarse: Bend(channel, ((coarse << 7 | fine) - BEND_STEPS) / BEND_STEPS),
}
_REAL_TIME: dict[int, Message] = {0xFE: ActiveSensing(), 0xFF: SystemReset()}


@lru_cache(maxsize=_KEPT)
def voice_message(status: int, first: int, second: int) -> VoiceMessage | None:
    """The message of a status byte below F0 and its data bytes; None for one that is not in `Message`.

    second: 0 where the message has one data byte.
    """
    understand = _VOICE.get(status & 0xF0)
    return understand(status & 0x0F, first, second) if understand else None


def _understood(message: bytes) -> Message | None:
    if message[0] >= 0xF0:
        return _REAL_TIME.get(message[0])
    return voice_message(message[0], message[1], message[2] if len(message) > 2 else 0)


def encode(message: VoiceMessage) -> bytes:
    """The bytes of a message. A chanter has no use for velocities: they are 64, as of a key that senses none."""
    told: mido.Message
    match message:
        case NoteOn(channel, number):
            told = mido.Message("note_on", channel=channel, note=number)
        case NoteOff(channel, number):
            told = mido.Message("note_off", channel=channel, note=number)
        case Control(channel, controller, value):
            told = mido.Message("control_change", channel=channel, control=controller, value=value)
        case NotesOff(channel):
            told = mido.Message("control_change", channel=channel, control=ALL_NOTES_OFF)
        case Pressure(channel, value):
            told = mido.Message("aftertouch", channel=channel, value=value)
        case Bend(channel, amount):
            told = mido.Message("pitchwheel", channel=channel, pitch=round(amount * BEND_STEPS))
    return bytes(told.bytes())


class Decoder:
    """Decodes bytes into messages. Whatever is not in `Message` is passed over; no bytes make it raise."""

    def __init__(self) -> None:
        self._framer = Framer()

    def feed(self, data: Iterable[int]) -> Iterator[Message]:
        """Take in bytes (0 to 255 each), cut anywhere, and yield the messages that they complete."""
        for message in self._framer.feed(data):
            understood = _understood(message)
            if understood is not None:
                yield understood
