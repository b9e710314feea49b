"""Follows what an instrument holds, so that a take can begin with it."""

from __future__ import annotations

from companion.midi.stream.messages import Control, NoteOff, NoteOn, NotesOff, Pressure, VoiceMessage


class Held:
    """Follows the notes held, controllers and aftertouch of an instrument."""

    def __init__(self) -> None:
        self._notes: dict[tuple[int, int], VoiceMessage] = {}
        self._values: dict[tuple[int, int | None], VoiceMessage] = {}

    @property
    def messages(self) -> tuple[VoiceMessage, ...]:
        """The messages that lead to this moment: controllers and aftertouch, then the notes held, in the order struck.

        Controllers and aftertouch have their last values.
        """
        return (*self._values.values(), *self._notes.values())

    def hear(self, message: VoiceMessage) -> None:
        """Take in any message."""
        match message:
            case NoteOn(channel, number):
                self._notes.pop((channel, number), None)
                self._notes[channel, number] = message
            case NoteOff(channel, number):
                self._notes.pop((channel, number), None)
            case NotesOff(channel):
                self._notes = {key: note for key, note in self._notes.items() if key[0] != channel}
            case Control(channel, controller, _):
                self._values[channel, controller] = message
            case Pressure(channel, _):
                self._values[channel, None] = message
