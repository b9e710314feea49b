"""Checks that bars are as long as their metre asks."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from companion.score.abc.lengths import compare_lengths, fraction_to_ticks, ticks_to_fraction
from companion.score.abc.problems import Problems
from companion.score.abc.written import WrittenBar


def is_pick_up(written: Sequence[WrittenBar]) -> bool:
    """Whether a tune opens with a bar shorter than its metre."""
    return len(written) > 1 and written[0].ticks < full_ticks(written[0])


def full_ticks(bar: WrittenBar) -> int:
    """The length that the metre asks of a bar, 0 for any."""
    length = bar.meter.bar_length
    return fraction_to_ticks(length) if length else 0


def check_lengths(
    written: Sequence[WrittenBar], lengths: Sequence[int], order: Sequence[int], problems: Problems
) -> None:
    """Say which bars are too long (an error), and which are too short and completed by no other (a warning)."""
    short: list[int] = []
    meter, full = None, 0
    for i, bar in enumerate(written):
        if bar.meter is not meter:
            meter, full = bar.meter, full_ticks(bar)
        if not full or lengths[i] == full or bar.doubtful:
            continue
        if lengths[i] > full:
            what = f"the bar is too long: {_compared(bar, lengths[i])}"
            problems.error(bar.place, what, "shorten its notes or write the missing bar line")
        elif i or len(written) == 1:
            short.append(i)
    complete = _completed(written, lengths, order) if short else set()
    for i in short:
        if i not in complete:
            what = f"the bar is too short: {_compared(written[i], lengths[i])}"
            problems.warn(written[i].place, what, "lengthen its notes or write the missing ones")


def _compared(bar: WrittenBar, ticks: int) -> str:
    lengths = ticks_to_fraction(ticks), ticks_to_fraction(full_ticks(bar))
    lasts, asked = compare_lengths(*lengths, bar.meter.unit)
    return f"it lasts {lasts}, M:{bar.meter.text} asks for {asked}"


def _completed(written: Sequence[WrittenBar], lengths: Sequence[int], order: Sequence[int]) -> set[int]:
    """Short bars that fill a whole one with the bar played before or after, over a repeat, a double bar or a jump.

    The tune may be played again: its last bar and its pick-up count as played one after the other.
    """
    complete: set[int] = set()
    for left, right in {*pairwise(order), (order[-1], order[0])}:
        if lengths[left] + lengths[right] == full_ticks(written[left]) and _parted(written, left, right):
            complete |= {left, right}
    return complete


def _parted(written: Sequence[WrittenBar], left: int, right: int) -> bool:
    """Whether more than a plain bar line stands between two bars that are played one after the other."""
    before, after = written[left], written[right]
    jumps = right != left + 1
    return jumps or bool(before.double or before.closes or after.opens or after.ending or after.label is not None)
