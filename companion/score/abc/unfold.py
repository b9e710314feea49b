"""Repeats, endings and part plans become the order in which bars are played (ABC 2.1 sections 3.1.9, 4.8 to 4.10)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.score.abc.plan import MAX_PLAYED, PlanError, Run, read_plan, too_long
from companion.score.abc.problems import Problems
from companion.score.abc.sections import Section, find_sections
from companion.score.abc.written import WrittenBar
from companion.score.place import Place


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part as written: its label (None before the first P: of a body, or where there is none), and its sections."""

    label: str | None
    sections: tuple[Section, ...]

    def order(self, take: int | None = None) -> Iterator[int]:
        """The bars in playing order; with `take`, only that pass of every section that has endings."""
        for section in self.sections:
            for number in range(1, section.plays + 1) if take is None or not section.endings else (take,):
                yield from section.a_pass(number)

    def later_endings(self) -> Iterator[int]:
        """The bars of second and further endings."""
        for section in self.sections:
            for ending in section.endings[1:]:
                yield from range(ending.first, ending.stop)

    def takes_endings_in_turn(self, times: int) -> bool:
        """Whether a part that the plan plays `times` on end has that many endings, one for each time.

        So the example of ABC 2.1 section 4.10 is meant: more than two endings, and no repeat of the part's own.
        """
        numbers = [ending.passes for section in self.sections for ending in section.endings]
        opened = any(section.opened for section in self.sections)
        return times > 2 and not opened and max((max(each) for each in numbers), default=0) == times


def find_stretches(bars: Sequence[WrittenBar], problems: Problems, *, planned: bool) -> list[Stretch]:
    """The parts that a plan puts in order, over which no repeat reaches; without a plan the whole tune is one."""
    starts = sorted({0, *(i for i, bar in enumerate(bars) if planned and bar.label is not None)})
    return [
        Stretch(bars[first].label, find_sections(bars, first, stop, problems))
        for first, stop in pairwise([*starts, len(bars)])
    ]


def played_order(stretches: Sequence[Stretch], plan: str, plan_place: Place, problems: Problems) -> tuple[int, ...]:
    """Bar indices as played: by the plan where there is one that can be used, else part after part."""
    order = [i for stretch in stretches if stretch.label is None or not plan for i in stretch.order()]
    if len(order) > MAX_PLAYED:
        problems.error(plan_place, f"repeats make more than {MAX_PLAYED:,} bars", "repeat less")
    if plan:
        try:
            order += _planned(stretches, read_plan(plan), plan_place, problems)
        except PlanError as error:
            problems.error(plan_place, error.what, error.remedy)
            return played_order(stretches, "", plan_place, problems)
    return tuple(order[:MAX_PLAYED]) or played_order(stretches, "", plan_place, problems)


def _planned(stretches: Sequence[Stretch], runs: Sequence[Run], place: Place, problems: Problems) -> list[int]:
    by_label = {stretch.label: stretch for stretch in reversed(stretches)}
    order: list[int] = []
    once: dict[str, list[int]] = {}
    for run in runs:
        stretch = by_label.get(run.label)
        if stretch is None:
            if problems.first_time(f"{place}:{run.label}"):
                what = f"the plan names part {run.label}, which is not in the tune"
                problems.error(place, what, f"write P:{run.label} where it begins, or take it out of the plan")
            continue
        if stretch.takes_endings_in_turn(run.times):
            played = [i for take in range(1, run.times + 1) for i in stretch.order(take)]
        else:
            if run.label not in once:
                once[run.label] = list(stretch.order())
            if len(order) + len(once[run.label]) * run.times > MAX_PLAYED:
                raise too_long()
            played = once[run.label] * run.times
        order += played
    return order
