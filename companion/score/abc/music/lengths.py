"""Reads note lengths as they are written, and computes those of broken rhythm and tuplets."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from companion.score.model import Meter

MAX_TUPLET = 15
MAX_BROKEN = 3
# No piper's bag holds longer; a slip of the pen must not play for days.
MAX_UNITS = 256

_LENGTH = re.compile(r"(\d*)(/*)(\d*)")


@lru_cache(maxsize=256)
def read_length(text: str) -> Fraction | None:
    """Read what stands after a note ("3", "/", "//", "3/2") as a multiple of the unit note length.

    None where it is no length: ``0``, ``/0``, ``//4`` (ABC 2.1 section 4.3), or more than MAX_UNITS.
    """
    match = _LENGTH.fullmatch(text)
    if match is None:
        return None
    times, slashes, by = match.groups()
    if len(slashes) > 1 and by:
        return None
    numerator = int(times or 1)
    denominator = int(by) if by else 2 ** len(slashes[:16])
    if not numerator or not denominator or numerator > MAX_UNITS * denominator:
        return None
    return Fraction(numerator, denominator)


def broken_pair(first: int, second: int, mark: str) -> tuple[int, int]:
    """The lengths in ticks of two notes with a broken-rhythm mark between: ``>`` dots the first and cuts the second.

    ``>``, ``>>`` and ``>>>`` make 3:1, 7:1 and 15:1, ``<`` and its kin the reverse (ABC 2.1 section 4.4).
    """
    power = 2 ** min(len(mark), MAX_BROKEN)
    if mark[0] == ">":
        return first * (2 * power - 1) // power, second // power
    return first // power, second * (2 * power - 1) // power


def tuplet_time(notes: int, meter: Meter) -> int:
    """The q of a tuplet ``(p`` without one: `notes` notes in the time of how many (ABC 2.1 section 4.13)."""
    if notes in (3, 6):
        return 2
    if notes in (2, 4, 8):
        return 3
    compound = meter.beat_length.numerator == 3
    return 3 if compound else 2
