"""Which MIDI note number is which note: note maps, and learning one from the nine notes played upward."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from companion.midi.monophony import Heard
from fingering.errors import UserError
from fingering.notes import Note

SETTLED_S = 0.25
"""While it is learnt, a note counts once it has sounded this long: a crossing noise between two notes does not."""

HIGHEST_NUMBER = 127


class Spelling(enum.Enum):
    """How an instrument numbers C and F: as the sharps that they sound, or as the white keys they are named for."""

    SHARPS = "sharps"
    NATURALS = "white keys"

    @property
    def steps(self) -> tuple[int, ...]:
        """Semitones of the nine notes above low A, low G first."""
        lowered = (Note.C, Note.F) if self is Spelling.NATURALS else ()
        return tuple(note.midi - Note.LOW_A.midi - (note in lowered) for note in Note)


@dataclass(frozen=True, slots=True)
class NoteMap:
    """The MIDI note numbers of the nine notes, low G first, strictly rising."""

    numbers: tuple[int, ...]

    def __post_init__(self) -> None:
        fits = all(0 <= number <= HIGHEST_NUMBER for number in self.numbers)
        rises = sorted(set(self.numbers)) == list(self.numbers)
        if len(self.numbers) != len(Note) or not (fits and rises):
            raise UserError(
                f"{', '.join(map(str, self.numbers))} are not the nine notes of a chanter",
                f"give nine rising MIDI note numbers from 0 to {HIGHEST_NUMBER}",
            )

    @classmethod
    def of(cls, low_a: int, spelling: Spelling) -> NoteMap:
        """The map of an instrument whose low A is MIDI note `low_a`. Raises UserError beyond 0 to 127."""
        return cls(tuple(low_a + step for step in spelling.steps))

    @property
    def low_a(self) -> int:
        """The MIDI note number of low A."""
        return self.numbers[Note.LOW_A]

    @property
    def spelling(self) -> Spelling | None:
        """Which spelling the map follows; None where an instrument goes its own way."""
        steps = tuple(number - self.low_a for number in self.numbers)
        return next((spelling for spelling in Spelling if spelling.steps == steps), None)

    def note(self, number: int) -> Note | None:
        """The note that a MIDI note number stands for; None for a number outside the map."""
        return Note(self.numbers.index(number)) if number in self.numbers else None

    def number(self, note: Note) -> int:
        """The MIDI note number of a note."""
        return self.numbers[note]

    def __str__(self) -> str:
        spelled = f"C and F as {self.spelling.value}" if self.spelling else "its own spelling"
        return f"low A is {self.low_a}, {spelled}"


DEFAULT_MAP = NoteMap.of(Note.LOW_A.midi, Spelling.SHARPS)


class Calibration:
    """Learns a map from the nine notes played upward, low G first, each held for SETTLED_S or longer.

    A note played again counts once. One lower than the last starts afresh, with itself as low G.
    """

    def __init__(self) -> None:
        self._learnt: list[int] = []
        self._sounding: Heard | None = None

    @property
    def learnt(self) -> tuple[int, ...]:
        """The note numbers learnt so far, low G first."""
        return tuple(self._learnt)

    @property
    def wanted(self) -> Note | None:
        """The note to play next; None when all nine are learnt."""
        return Note(len(self._learnt)) if len(self._learnt) < len(Note) else None

    @property
    def note_map(self) -> NoteMap | None:
        """The finished map, None before the ninth note."""
        return None if self.wanted is not None else NoteMap(self.learnt)

    def hear(self, heard: Heard) -> None:
        """What sounds changed; the note before it is learnt if it had settled."""
        self.pass_time(heard.at_s)
        self._sounding = heard

    def pass_time(self, now_s: float) -> None:
        """Learn the note that sounds once it has settled."""
        sounding = self._sounding
        if sounding is not None and sounding.number is not None and now_s - sounding.at_s >= SETTLED_S:
            self._sounding = None
            self._learn(sounding.number)

    def _learn(self, number: int) -> None:
        if self.wanted is None or (self._learnt and number == self._learnt[-1]):
            return
        if self._learnt and number < self._learnt[-1]:
            self._learnt.clear()
        self._learnt.append(number)
