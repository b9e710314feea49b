"""Puts notes under beams."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from typing import TypeVar

from companion.score.staff.model import StaffBeam, StaffNote, StaffTuplet

_Unbeamed = TypeVar("_Unbeamed", StaffNote, StaffNote | StaffTuplet)


def beamed(
    items: Sequence[_Unbeamed], starts: Sequence[Fraction] = (), shift: Fraction = Fraction(0)
) -> tuple[_Unbeamed | StaffBeam, ...]:
    """The items of a bar or a tuplet, with neighbours that have flags joined to beams.

    starts: where in the metre a new beam begins. shift: where the bar's first note stands in the metre. Rests and
    tuplets part beams.
    """
    joined: list[_Unbeamed | StaffBeam] = []
    run: list[StaffNote] = []
    at = None
    for item in items:
        beat = bisect_right(starts, item.offset + shift) if isinstance(item, StaffNote) else None
        takes_beam = isinstance(item, StaffNote) and item.note is not None and item.value.flags > 0
        if run and (not takes_beam or beat != at):
            joined.append(_beam(run))
            run = []
        if takes_beam and isinstance(item, StaffNote):
            run.append(item)
            at = beat
        else:
            joined.append(item)
    if run:
        joined.append(_beam(run))
    return tuple(joined)


def _beam(run: Sequence[StaffNote]) -> StaffNote | StaffBeam:
    return run[0] if len(run) == 1 else StaffBeam(tuple(run))
