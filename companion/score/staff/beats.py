"""Where beams are parted in a bar: by the pulse that a piper counts."""

from __future__ import annotations

import re
from fractions import Fraction
from itertools import accumulate

from companion.score.model import Bar, Meter

_SUM = re.compile(r"\(?(\d+(?:\+\d+)+)\)?/(\d+)")
_THREE_EIGHTS = Fraction(3, 8)


def beat_starts(meter: Meter) -> tuple[Fraction, ...]:
    """Where the groups under one beam begin within a bar of a metre, from 0 on, as fractions of a whole note.

    A sum such as 3+2/8 says so itself; 5/8 and 7/8 are read as threes with the rest at the end, and 3/8 as one group.
    """
    length = meter.bar_length
    if length is None:
        return (Fraction(0),)
    return tuple(accumulate(_groups(meter, length)[:-1], initial=Fraction(0)))


def _groups(meter: Meter, length: Fraction) -> list[Fraction]:
    written = _SUM.fullmatch(meter.text)
    if written:
        return [Fraction(int(part), int(written[2])) for part in written[1].split("+")]
    step = meter.beat_length
    if step < Fraction(1, 4) and meter.unit >= 8:
        step = min(length, Fraction(3, meter.unit))
    whole, rest = divmod(length, step)
    return [step] * int(whole) + ([rest] if rest else [])


def first_offset(bar: Bar, *, pick_up: bool) -> Fraction:
    """Where the first note of a bar stands in its metre: a pick-up ends with the bar."""
    full = bar.meter.bar_length
    return full - bar.length if pick_up and full is not None and bar.length < full else Fraction(0)
