"""Counts lengths in ticks, so that sums are exact and quick."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import lru_cache

# Divisible by 2 to 15 and by 8192: every written length down to a 1/512 note, in a tuplet of any size, is a whole
# number of ticks.
TICKS_PER_WHOLE = 360360 * 1024


@lru_cache(maxsize=4096)
def ticks_to_fraction(ticks: int) -> Fraction:
    """A length in ticks as a fraction of a whole note."""
    return Fraction(ticks, TICKS_PER_WHOLE)


def fraction_to_ticks(length: Fraction) -> int:
    """A fraction of a whole note in ticks, rounded down to a tick."""
    return length.numerator * TICKS_PER_WHOLE // length.denominator


def compare_lengths(one: Fraction, other: Fraction, unit: int) -> tuple[str, str]:
    """Two lengths in words over the same denominator, `unit` or a finer one: 5/8 and 4/8 rather than 5/8 and 1/2."""
    below = math.lcm(one.denominator, other.denominator, unit)
    return f"{one * below}/{below}", f"{other * below}/{below}"
