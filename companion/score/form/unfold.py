"""Unfolds repeats, endings and the part plan into the order of playing (ABC 2.1 sections 3.1.9, 4.8 to 4.10)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, chain, pairwise, takewhile

from companion.files.lines import quoted
from companion.score.form.plan import MAX_PLAYED, PlanError, Run, read_plan, too_long
from companion.score.form.problems import Problems
from companion.score.form.sections import Section, find_sections
from companion.score.form.ticks import TICKS_PER_WHOLE
from companion.score.form.written import WrittenBar
from companion.score.place import Place
from companion.score.problems import ProblemKind

# What a bar may hold and how long it may last before it counts for more than one.
_NOTES_IN_BAR = 64
_TICKS_IN_BAR = 4 * TICKS_PER_WHOLE


@dataclass(frozen=True, slots=True)
class WrittenPart:
    """A part as written: its label, None where it has none, and its sections."""

    label: str | None
    sections: tuple[Section, ...]

    def order(self, take: int | None = None) -> Iterator[int]:
        """Yield the bars in playing order; with `take`, only that repetition of every section that has endings."""
        return chain.from_iterable(self.runs(take))

    def runs(self, take: int | None = None) -> Iterator[range]:
        """Yield the same bars in runs of neighbours."""
        for section in self.sections:
            for number in range(1, section.plays + 1) if take is None or not section.endings else (take,):
                yield from section.a_pass(number)

    def later_endings(self) -> Iterator[int]:
        """Yield the bars of second and further endings."""
        for section in self.sections:
            for ending in section.endings[1:]:
                yield from range(ending.first, ending.stop)

    def takes_endings_in_turn(self, times: int) -> bool:
        """Whether a part that the plan plays `times` times in a row takes another of its endings each time.

        The example of ABC 2.1 section 4.10 is written so: more than two endings, and no repeat of the part's own.
        """
        numbers = [each.passes for section in self.sections for each in section.endings]
        opened = any(section.opened for section in self.sections)
        return times > 2 and not opened and max((max(each) for each in numbers), default=0) == times


def find_stretches(bars: Sequence[WrittenBar], problems: Problems, *, planned: bool) -> list[WrittenPart]:
    """The parts that a plan can put in order, over which no repeat reaches; without a plan the whole tune is one."""
    labelled = [i for i, bar in enumerate(bars) if bar.label is not None] if planned else []
    starts = sorted({0, *labelled})
    return [
        WrittenPart(bars[first].label, find_sections(bars, first, stop, problems))
        for first, stop in pairwise([*starts, len(bars)])
    ]


def played_order(
    bars: Sequence[WrittenBar],
    lengths: Sequence[int],
    stretches: Sequence[WrittenPart],
    plan: str,
    place: Place,
    problems: Problems,
) -> tuple[int, ...]:
    """The indices of the bars as played: by the plan where there is one that can be used, else part after part.

    lengths: of the bars, in ticks. place: of the plan. What repeats and plan would unfold to is added up before it is
    made, so that no file can ask for more than MAX_PLAYED.
    """
    weigh = _Weights(bars, lengths)
    order: list[int] = []
    weight = 0
    if plan and not any(stretch.label is not None for stretch in stretches):
        what = f"P:{quoted(plan)[1:-1]} names no part of this tune, which is played as it is written"
        problems.add(ProblemKind.PLAN_WITHOUT_PARTS, place, what, "write P: and a letter where each part begins")
        plan = ""
    for stretch in stretches:
        if stretch.label is None or not plan:
            weight += weigh.of_stretch(stretch)
            if weight > MAX_PLAYED:
                what = f"repeats and rests make this longer than {MAX_PLAYED:,} bars, so it is played without repeats"
                problems.add(ProblemKind.PERFORMANCE_TOO_LONG, place, what, "repeat less")
                return weigh.beginning()
            order += stretch.order()
    if plan:
        try:
            order += _planned(weigh, stretches, read_plan(plan), place, problems)
        except PlanError as error:
            problems.add(error.kind, place, error.what, error.remedy)
            return played_order(bars, lengths, stretches, "", place, problems)
    return tuple(order) or played_order(bars, lengths, stretches, "", place, problems)


class _Weights:
    """How much each bar counts towards MAX_PLAYED.

    One; more for a long rest, and for a bar longer or fuller than any that a piper plays.
    """

    def __init__(self, bars: Sequence[WrittenBar], lengths: Sequence[int]) -> None:
        weights = [
            bar.counts_for
            if len(bar.notes) <= _NOTES_IN_BAR and ticks <= _TICKS_IN_BAR
            else max(bar.counts_for, -(-len(bar.notes) // _NOTES_IN_BAR), -(-ticks // _TICKS_IN_BAR))
            for bar, ticks in zip(bars, lengths, strict=True)
        ]
        self._before = list(accumulate(weights, initial=0))  # the weight of all bars before each

    def beginning(self) -> tuple[int, ...]:
        """The bars in written order as far as MAX_PLAYED reaches, the first in any case."""
        reached = takewhile(lambda weight: weight <= MAX_PLAYED, self._before[1:])
        return tuple(range(max(1, sum(1 for _ in reached))))

    def of_stretch(self, stretch: WrittenPart, take: int | None = None) -> int:
        """The weight of a part as it is played; `take` as in `WrittenPart.order`."""
        return sum([self._before[run.stop] - self._before[run.start] for run in stretch.runs(take)])


def _planned(
    weigh: _Weights, stretches: Sequence[WrittenPart], runs: Sequence[Run], place: Place, problems: Problems
) -> list[int]:
    by_label = {stretch.label: stretch for stretch in reversed(stretches)}
    order: list[int] = []
    weight = 0
    once: dict[str, tuple[list[int], int]] = {}
    for run in runs:
        stretch = by_label.get(run.label)
        if stretch is None:
            if problems.first_time(f"{place}:{run.label}"):
                what = f"the plan names part {run.label}, which is not in the tune"
                remedy = f"write P:{run.label} where it begins, or take it out of the plan"
                problems.add(ProblemKind.PLAN_PART_MISSING, place, what, remedy)
            continue
        in_turn = stretch.takes_endings_in_turn(run.times)
        if in_turn:
            weight += sum(weigh.of_stretch(stretch, take) for take in range(1, run.times + 1))
        else:
            if run.label not in once:
                once[run.label] = list(stretch.order()), weigh.of_stretch(stretch)
            weight += once[run.label][1] * run.times
        if weight > MAX_PLAYED:
            raise too_long()
        if in_turn:
            order += [i for take in range(1, run.times + 1) for i in stretch.order(take)]
        else:
            order += once[run.label][0] * run.times
    return order
