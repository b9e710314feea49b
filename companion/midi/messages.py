"""The MIDI messages that a chanter needs, and the decoder that picks them out of a stream of bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import mido

from companion.midi.framing import Framer

BREATH_CONTROLLER = 2  # from memory of the controller table; its fine part would be 34 by the +32 rule, p. 12
ALL_SOUND_OFF = 120  # MIDI 1.0 Detailed Specification 4.2.1, pp. 24-25
ALL_NOTES_OFF = 123  # p. 20
_LAST_MODE_MESSAGE = 127  # 124 to 127 turn all notes off as well, p. 20
BEND_STEPS = 8192  # either way from the centre, p. 19


@dataclass(frozen=True, slots=True)
class NoteOn:
    """A note was struck. `channel` 0 to 15, `number` 0 to 127; never with velocity 0, which is a NoteOff (p. 10)."""

    channel: int
    number: int


@dataclass(frozen=True, slots=True)
class NoteOff:
    """A note was let go, told either way."""

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
    """The sender is alive."""


@dataclass(frozen=True, slots=True)
class SystemReset:
    """The sender started afresh: nothing sounds."""


VoiceMessage = NoteOn | NoteOff | Control | NotesOff | Pressure | Bend
Message = VoiceMessage | ActiveSensing | SystemReset


def _note_on(told: Any) -> Message:
    kind = NoteOn if told.velocity else NoteOff
    return kind(told.channel, told.note)


def _control(told: Any) -> Message | None:
    if told.control < ALL_SOUND_OFF:
        return Control(told.channel, told.control, told.value)
    silences = told.control == ALL_SOUND_OFF or ALL_NOTES_OFF <= told.control <= _LAST_MODE_MESSAGE
    return NotesOff(told.channel) if silences else None


_OURS: dict[str, Callable[[Any], Message | None]] = {
    "note_on": _note_on,
    "note_off": lambda told: NoteOff(told.channel, told.note),
    "control_change": _control,
    "aftertouch": lambda told: Pressure(told.channel, told.value),
    "pitchwheel": lambda told: Bend(told.channel, told.pitch / BEND_STEPS),
    "active_sensing": lambda told: ActiveSensing(),
    "reset": lambda told: SystemReset(),
}


def _understood(message: bytes) -> Message | None:
    told = mido.Message.from_bytes(message)
    ours = _OURS.get(told.type)
    return ours(told) if ours else None


def encode(message: VoiceMessage) -> bytes:
    """The bytes of a message. A chanter has no use for velocities: they become 64, that of an insensitive key."""
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
    """Bytes in, messages out. Whatever is not in `Message` is passed over; no bytes make it raise."""

    def __init__(self) -> None:
        self._framer = Framer()

    def feed(self, data: Iterable[int]) -> Iterator[Message]:
        """Take in bytes (0 to 255 each), cut anywhere, and yield the messages that they complete."""
        for message in self._framer.feed(data):
            understood = _understood(message)
            if understood is not None:
                yield understood
