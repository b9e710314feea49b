"""Reduces the messages of a port to the one note number that sounds, since a chanter has one note at a time."""

from __future__ import annotations

from dataclasses import dataclass

from companion.midi.stream.messages import (
    BREATH_CONTROLLER,
    Bend,
    Control,
    NoteOff,
    NoteOn,
    NotesOff,
    Pressure,
    VoiceMessage,
)
from fingering.notes import Note

CHANTER_SPAN = Note.HIGH_A.midi - Note.LOW_G.midi
"""Semitones from low G to high A: no chanter note lies further than this below another."""

DRONE_AFTER_S = 3.0
DRONE_AFTER_NOTES = 6
"""A note held this long, while this many others began above it, is a drone or a lost Note Off, not the chanter."""

STUCK_AFTER_S = 30.0
"""No note sounds longer than this without a message that changes it: the stuck-note guard."""

MOST_HELD = 16
"""Notes held at once: more than ten fingers and three drones can hold. Beyond it the oldest one counts as let go, so
that a sender that never lets go cannot make each further note dearer."""


def stuck_after_s(crotchet_s: float | None) -> float:
    """After how many seconds a note is stuck; crotchet_s: how long one of the tune lasts that runs, None for none.

    A note of a tune that runs slowly may well be held longer: as many crotchets as seconds otherwise.
    """
    return STUCK_AFTER_S * max(1.0, crotchet_s or 1.0)


@dataclass(frozen=True, slots=True)
class SoundingNumber:
    """The MIDI note number that sounds from `at_s` on; None is silence."""

    at_s: float
    number: int | None


@dataclass(slots=True)
class _Held:
    since_s: float
    covered: int = 0
    apart: bool = False


class Breath:
    """Follows whether a player blows; without a breath controller it is always so.

    A breath of zero is silence: controller 2 until it rises again, channel aftertouch until it rises or a note is
    struck, since a keyboard's aftertouch falls to zero as well.
    """

    def __init__(self) -> None:
        self._controller: int | None = None
        self._pressure: int | None = None

    @property
    def blown(self) -> bool:
        """Whether anything can sound."""
        return self._controller != 0 and self._pressure != 0

    def hear(self, message: VoiceMessage) -> None:
        """Take in any message."""
        match message:
            case Control(_, controller, value) if controller == BREATH_CONTROLLER:
                self._controller = value
            case Pressure(_, value):
                self._pressure = value
            case NoteOn():
                self._pressure = None


class Monophony:
    """Follows which note number sounds. The last one struck wins; when it ends, one still held beneath it comes back.

    numbers: the note numbers of the chanter, where they are known; others never sound. Times are seconds on the
    caller's clock and never go back. Drones never sound: a note is one after DRONE_AFTER_S and DRONE_AFTER_NOTES, or at
    once when it lies further below another held note than a chanter reaches. It is silent where there is no breath,
    after all notes off, and when nothing is new for `stuck_after_s`.
    """

    def __init__(self, *, numbers: frozenset[int] | None = None, stuck_after_s: float = STUCK_AFTER_S) -> None:
        self.numbers = numbers
        self.stuck_after_s = stuck_after_s
        self._held: dict[tuple[int, int], _Held] = {}
        self._breath = Breath()
        self._sounding = SoundingNumber(float("-inf"), None)

    def hear(self, message: VoiceMessage, at_s: float) -> tuple[SoundingNumber, ...]:
        """Take in a message; returns what changes."""
        stuck = self.pass_time(at_s)
        self._breath.hear(message)
        match message:
            case NoteOn(channel, number):
                self._strike((channel, number), at_s)
            case NoteOff(channel, number):
                self._held.pop((channel, number), None)
            case NotesOff(channel):
                self._held = {key: held for key, held in self._held.items() if key[0] != channel}
            case Bend():
                return stuck
        return stuck + self._changes(at_s)

    def pass_time(self, now_s: float) -> tuple[SoundingNumber, ...]:
        """Take in the time; returns the end of a stuck note, stamped with the moment at which it was due."""
        due_s = self._sounding.at_s + self.stuck_after_s
        if self._sounding.number is None or now_s <= due_s:
            return ()
        self._held.clear()
        return self._changes(due_s)

    def _strike(self, key: tuple[int, int], at_s: float) -> None:
        self._held.pop(key, None)
        if len(self._held) == MOST_HELD:
            del self._held[next(iter(self._held))]
        for held in self._held.values():
            held.covered += 1
            if held.covered >= DRONE_AFTER_NOTES and at_s - held.since_s >= DRONE_AFTER_S:
                held.apart = True
        self._held[key] = _Held(at_s)
        highest = max(number for (_, number), held in self._held.items() if not held.apart)
        for (_, number), held in self._held.items():
            held.apart = held.apart or highest - number > CHANTER_SPAN

    def _number(self) -> int | None:
        if not self._breath.blown:
            return None
        for (_, number), held in reversed(self._held.items()):
            if not held.apart and (self.numbers is None or number in self.numbers):
                return number
        return None

    def _changes(self, at_s: float) -> tuple[SoundingNumber, ...]:
        number = self._number()
        if number == self._sounding.number:
            return ()
        self._sounding = SoundingNumber(at_s, number)
        return (self._sounding,)
