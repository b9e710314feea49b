"""The lines of staff in the order in which a tune is played: a part that is repeated comes to its lines twice."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from companion.schedule.events import Schedule
from companion.score.model import Tune
from companion.window.staff.cuts import StaffCut


@dataclass(frozen=True, slots=True)
class StaffPass:
    """Once through a line of staff: played notes first to stop - 1 of a schedule."""

    cut: StaffCut
    first: int
    stop: int


def staff_passes(tune: Tune, schedule: Schedule, cuts: Sequence[StaffCut]) -> tuple[StaffPass, ...]:
    """Every time that a line is played through, in the order of playing; together they hold all played notes.

    cuts: all bars of the tune. A line that is begun again, or in which one goes back, is another pass.
    """
    bar_of = _bars_of_notes(tune)
    line_of = [rank for rank, cut in enumerate(cuts) for _ in range(cut.first, cut.stop)]
    passes: list[StaffPass] = []
    before = -1
    for place, played in enumerate(schedule.played):
        bar = bar_of[played.note.rank]
        cut = cuts[line_of[bar]]
        again = bar < before or (bar == before and schedule.played[place - 1].turn != played.turn)
        if passes and passes[-1].cut == cut and not again:
            passes[-1] = replace(passes[-1], stop=place + 1)
        else:
            passes.append(StaffPass(cut, place, place + 1))
        before = bar
    return tuple(passes)


def together(tune: Tune, schedule: Schedule, passes: Sequence[StaffPass], kept: range) -> StaffPass | None:
    """One pass with the played notes `kept`, which lie on several lines and in bars that follow one another; else None.

    For a stretch that is repeated: whether it has room on one line is for the caller to see.
    """
    bar_of = _bars_of_notes(tune)
    bars = [bar_of[schedule.played[place].note.rank] for place in kept]
    one_line = pass_at(passes, kept.start) == pass_at(passes, kept.stop - 1)
    steady = all(0 <= after - bar <= 1 for bar, after in pairwise(bars))
    if one_line or not steady:
        return None
    return StaffPass(StaffCut(bars[0], bars[-1] + 1), kept.start, kept.stop)


def pass_at(passes: Sequence[StaffPass], played: int) -> int:
    """The rank of the pass that holds a played note."""
    return max(0, bisect_right(passes, played, key=lambda each: each.first) - 1)


def _bars_of_notes(tune: Tune) -> list[int]:
    """The index of the bar of each note, by its rank."""
    return list(_bar_of_each(tune))


def _bar_of_each(tune: Tune) -> Iterator[int]:
    for index, bar in enumerate(tune.bars):
        for _ in bar.notes:
            yield index
