"""Note maps: which MIDI note number stands for which of the nine notes."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.errors import UserError
from fingering.notes import Note

HIGHEST_NUMBER = 127


class Spelling(enum.Enum):
    """How an instrument numbers C and F: as the sharps that sound, or as the white keys that their names suggest."""

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
        """The map of an instrument whose low A is MIDI note `low_a`. Raises UserError where the nine leave 0 to 127."""
        lowest, highest = -min(spelling.steps), HIGHEST_NUMBER - max(spelling.steps)
        if not lowest <= low_a <= highest:
            raise UserError(f"a low A of {low_a} leaves no room for the nine notes", f"choose {lowest} to {highest}")
        return cls(tuple(low_a + step for step in spelling.steps))

    @property
    def low_a(self) -> int:
        """The MIDI note number of low A."""
        return self.numbers[Note.LOW_A]

    @property
    def spelling(self) -> Spelling | None:
        """The spelling that the map follows, None for neither."""
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
