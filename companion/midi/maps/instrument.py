"""Turns the messages of one instrument into notes or hole states, by a map that is known or inferred."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from companion.listen.model.played import Fingered, Played, Sounded
from companion.midi.maps.hole_map import HoleMap, HoleSensors
from companion.midi.maps.inference import Inferred, MapInference
from companion.midi.maps.note_map import NoteMap
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import Bend, Control, NoteOff, NoteOn, NotesOff, Pressure
from companion.midi.stream.monophony import DRONE_AFTER_S, STUCK_AFTER_S, Breath, Monophony, SoundingNumber
from fingering.notes import Note

HANDS_OFF_S = 1.0
"""Every hole open for so long means that nobody plays: no note of the chart opens them all."""


class NoteInstrument:
    """An instrument that sends notes. Without a map one is inferred, and changes as it grows surer."""

    def __init__(self, note_map: NoteMap | None = None, stuck_after_s: float = STUCK_AFTER_S) -> None:
        self.bend = 0.0
        self._known = note_map
        numbers = frozenset(note_map.numbers) if note_map else None
        self._monophony = Monophony(numbers=numbers, stuck_after_s=stuck_after_s)
        self._inference = MapInference()
        self._best = self._inference.best
        self._sounding: Note | None = None
        self._unknown = UnknownNotes(note_map) if note_map else None

    @property
    def stuck_after_s(self) -> float:
        """A note that sounds longer with nothing new is stuck, and ends then. It may be changed at any time."""
        return self._monophony.stuck_after_s

    @stuck_after_s.setter
    def stuck_after_s(self, seconds: float) -> None:
        self._monophony.stuck_after_s = seconds

    @property
    def note_map(self) -> NoteMap:
        """The map in use."""
        return self._known or self._best.note_map

    @property
    def inferred(self) -> Inferred | None:
        """The inferred map with its confidence; None where the map was known."""
        return None if self._known else self._best

    @property
    def unknown_number(self) -> int | None:
        """The last MIDI note number played that a known map does not hold, None for none; drones do not count."""
        return self._unknown.last if self._unknown else None

    def hear(self, timed: Timed) -> tuple[Played, ...]:
        """Take in a message; returns what is played by it."""
        if isinstance(timed.message, Bend):
            self.bend = timed.message.amount
        if self._unknown:
            self._unknown.hear(timed)
        changes = self._monophony.hear(timed.message, timed.at_s)
        return tuple(self._played(changes)) if changes else ()

    def pass_time(self, now_s: float) -> tuple[Played, ...]:
        """Take in the time; returns what changes by it alone, as when a stuck note ends."""
        return tuple(self._played(self._monophony.pass_time(now_s)))

    def _played(self, changes: Iterable[SoundingNumber]) -> Iterator[Sounded]:
        for heard in changes:
            self._learn_from(heard)
            note = None if heard.number is None else self.note_map.note(heard.number)
            if note != self._sounding:
                self._sounding = note
                yield Sounded(heard.at_s, note)

    def _learn_from(self, heard: SoundingNumber) -> None:
        """Follow the likeliest map, except that a map once sure gives way only to another that is sure."""
        if self._known is None:
            self._inference.hear(heard)
            newer = self._inference.best
            if newer.sure or not self._best.sure or newer.note_map == self._best.note_map:
                self._best = newer


class UnknownNotes:
    """Watches for notes that a map does not hold, and that are played rather than held as drones are."""

    def __init__(self, note_map: NoteMap) -> None:
        self.last: int | None = None
        self._map = note_map
        self._struck_s: dict[int, float] = {}

    def hear(self, timed: Timed) -> None:
        """Take in any message."""
        match timed.message:
            case NoteOn(_, number) if self._map.note(number) is None:
                self._struck_s[number] = timed.at_s
            case NoteOff(_, number) if number in self._struck_s:
                if timed.at_s - self._struck_s.pop(number) < DRONE_AFTER_S:
                    self.last = number


class HoleInstrument:
    """An instrument whose sensors, or the computer's keys, tell the holes.

    It is silent where there is no breath, after all notes off, when every hole is open for HANDS_OFF_S, and when
    nothing changed for `stuck_after_s`.
    """

    def __init__(self, hole_map: HoleMap, stuck_after_s: float = STUCK_AFTER_S) -> None:
        self.stuck_after_s = stuck_after_s
        self._sensors = HoleSensors(hole_map)
        self._breath = Breath()
        self._last: Played = Sounded(float("-inf"), None)

    def hear(self, timed: Timed) -> Iterator[Played]:
        """Take in a message; yields the hole state or the silence that it leads to."""
        yield from self.pass_time(timed.at_s)
        self._breath.hear(timed.message)
        changed = self._sensors.hear(timed.message) is not None
        if isinstance(timed.message, NotesOff) or not self._breath.blown:
            yield from self._fall_silent(timed.at_s)
        elif changed or (isinstance(timed.message, Control | Pressure) and isinstance(self._last, Sounded)):
            self._last = Fingered(timed.at_s, self._sensors.state)
            yield self._last

    def pass_time(self, now_s: float) -> Iterator[Played]:
        """Yield the silence that comes by time alone, stamped with the moment at which it was due."""
        due_s = self._last.at_s + (self.stuck_after_s if self._sensors.state else HANDS_OFF_S)
        if now_s > due_s:
            yield from self._fall_silent(due_s)

    def _fall_silent(self, at_s: float) -> Iterator[Played]:
        if isinstance(self._last, Fingered):
            self._last = Sounded(at_s, None)
            yield self._last


Instrument = NoteInstrument | HoleInstrument


def instrument_for(known: NoteMap | HoleMap | None, stuck_after_s: float = STUCK_AFTER_S) -> Instrument:
    """The instrument of a map; None makes one that sends notes, and whose map is to be inferred.

    stuck_after_s: a note that sounds longer with nothing new is stuck, and ends then.
    """
    return HoleInstrument(known, stuck_after_s) if isinstance(known, HoleMap) else NoteInstrument(known, stuck_after_s)
