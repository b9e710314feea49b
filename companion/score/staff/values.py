"""Splits lengths into note values that can be written: a whole note, a half, ... with dots."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

MOST_DOTS = 3
SHORTEST = 512
"""The shortest value that is written as a note, as its denominator (ABC 2.1 section 4.3 asks for 128 at least)."""


@dataclass(frozen=True, slots=True)
class NoteValue:
    """A note value: `base` is the denominator of a power of two (1 whole, 4 crotchet, 32 demisemiquaver) with dots.

    `base` 0 is a breve, two whole notes.
    """

    base: int
    dots: int = 0

    @property
    def length(self) -> Fraction:
        """The length as a fraction of a whole note."""
        plain = Fraction(1, self.base) if self.base else Fraction(2)
        return plain * (2 - Fraction(1, 2**self.dots))

    @property
    def flags(self) -> int:
        """How many flags or beams it has: 1 for a quaver, 3 for a demisemiquaver."""
        return max(0, self.base.bit_length() - 3)


@lru_cache(maxsize=1024)
def value_of(length: Fraction) -> NoteValue | None:
    """The note value that lasts `length` of a whole note; None where no single note does."""
    for dots in range(MOST_DOTS + 1):
        plain = length / (2 - Fraction(1, 2**dots))
        if plain == 2:
            return NoteValue(0, dots)
        if plain.numerator == 1 and plain.denominator <= SHORTEST and _is_power_of_two(plain.denominator):
            return NoteValue(plain.denominator, dots)
    return None


@lru_cache(maxsize=1024)
def split(length: Fraction, offset: Fraction, beat: Fraction) -> tuple[NoteValue, ...]:
    """The values of tied notes that together last `length`, the fewest that show the beats well.

    A length that one value has is one note. Else the largest value that ends on a beat comes first; where none does,
    the largest. offset: where the note begins in its bar. What is shorter than the shortest value is left out, so the
    values of a length whose denominator is no power of two last less than it.
    """
    values: list[NoteValue] = []
    while length >= Fraction(1, SHORTEST):
        whole = value_of(length)
        if whole is None:
            fitting = [value for value in _LONGEST_FIRST if value.length < length]
            whole = next((each for each in fitting if (offset + each.length) % beat == 0), fitting[0])
        values.append(whole)
        length -= whole.length
        offset += whole.length
    return tuple(values)


def _is_power_of_two(number: int) -> bool:
    return number & (number - 1) == 0


_LONGEST_FIRST = tuple(
    sorted(
        (NoteValue(base, dots) for base in (0, *(2**i for i in range(10))) for dots in range(2)),
        key=lambda value: -value.length,
    )
)
