"""Writes note lengths as ABC does: as multiples of a unit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction

UNITS = (Fraction(1, 8), Fraction(1, 16), Fraction(1, 32), Fraction(1, 4))
"""Unit note lengths to choose from, those that people use most first."""


def best_unit(lengths: Iterable[Fraction]) -> Fraction:
    """The unit by which the fewest lengths are fractions."""
    counted = Counter(lengths)

    def broken(unit: Fraction) -> int:
        return sum(times for length, times in counted.items() if (length / unit).denominator != 1)

    return min(UNITS, key=broken)


def length_text(times: Fraction) -> str:
    """A multiple of the unit: "" for 1, "3", "/", "3/2", "/4"."""
    above = "" if times.numerator == 1 else str(times.numerator)
    below = {1: "", 2: "/"}.get(times.denominator, f"/{times.denominator}")
    return f"{above}{below}"
