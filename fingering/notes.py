"""The nine notes of the chanter and the published tunings for them."""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass
from fractions import Fraction

from fingering.errors import UserError


class Note(enum.IntEnum):
    """The nine notes, low to high. The integer is the note's rank, 0 to 8."""

    LOW_G = 0
    LOW_A = 1
    B = 2
    C = 3
    D = 4
    E = 5
    F = 6
    HIGH_G = 7
    HIGH_A = 8

    __hash__ = int.__hash__  # an enum's own hashes the name, slowly, and notes are looked up everywhere

    @property
    def label(self) -> str:
        """The name pipers say: "low G", "B", "high A"."""
        return _LABELS[self]

    @property
    def letter(self) -> str:
        """The ABC letter under K:HP, "G" to "a"."""
        return _LETTERS[self]

    @property
    def midi(self) -> int:
        """The default MIDI note number, 67 (low G) to 81 (high A); C and F are sharp."""
        return _MIDI[self]

    @classmethod
    def from_letter(cls, letter: str) -> Note:
        """The note that an ABC letter (G A B c d e f g a) stands for. Raises UserError for any other."""
        try:
            return _BY_LETTER[letter]
        except KeyError:
            raise UserError(f"the chanter has no note '{letter}'", "write one of G A B c d e f g a") from None


_LABELS = ("low G", "low A", "B", "C", "D", "E", "F", "high G", "high A")
_LETTERS = ("G", "A", "B", "c", "d", "e", "f", "g", "a")
_MIDI = (67, 69, 71, 73, 74, 76, 78, 79, 81)
_BY_LETTER = {letter: Note(rank) for rank, letter in enumerate(_LETTERS)}


@dataclass(frozen=True, slots=True)
class Tuning:
    """A tuning: nine ratios to low A, low G first, and where they were published."""

    name: str
    ratios: tuple[Fraction, ...]
    source: str

    def ratio(self, note: Note) -> float:
        """Frequency of `note` over that of low A."""
        return float(self.ratios[note])

    def cents(self, note: Note) -> float:
        """Distance of `note` above low A in cents."""
        return 1200.0 * math.log2(self.ratios[note])


def _ratios(text: str) -> tuple[Fraction, ...]:
    return tuple(Fraction(word) for word in text.split())


_MACPHERSON = "Macpherson 1998, publish.uwo.ca/~emacphe3/pipes/acoustics/hearscales.html"
HARMONIC = Tuning("harmonic", _ratios("7/8 1 9/8 5/4 4/3 3/2 5/3 7/4 2"), _MACPHERSON)
MACNEILL = Tuning("macneill", _ratios("8/9 1 9/8 5/4 27/20 3/2 5/3 9/5 2"), _MACPHERSON)
TUNINGS = (HARMONIC, MACNEILL)
