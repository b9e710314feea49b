"""Finds the repeats and their endings among written bars."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from companion.score.form.bar_lengths import is_short
from companion.score.form.problems import Problems
from companion.score.form.written import WrittenBar
from companion.score.problems import ProblemKind


@dataclass(slots=True)
class Passage:
    """Bars first to stop - 1. `passes` are the repetitions on which they are played; empty means on all of them."""

    passes: tuple[int, ...]
    first: int
    stop: int


@dataclass(slots=True)
class Section:
    """Bars from `first` on, played `plays` times: their passages in written order. `opened`: whether by a ``|:``."""

    first: int
    opened: bool
    plays: int = 1
    passages: list[Passage] = field(default_factory=list)

    @property
    def endings(self) -> list[Passage]:
        """The passages that are played on some passes only: endings, or alternatives at the start."""
        return [passage for passage in self.passages if passage.passes]

    @property
    def leads_with_alternatives(self) -> bool:
        """Whether it begins with passages for single repetitions, followed by one that is played on all."""
        return len(self.passages) > 1 and bool(self.passages[0].passes) and not self.passages[-1].passes

    def a_pass(self, number: int) -> Iterator[range]:
        """Yield the bars of one repetition, `number` counted from 1, in stretches."""
        for passage in self.passages:
            if not passage.passes or number in passage.passes:
                yield range(passage.first, passage.stop)


def find_sections(bars: Sequence[WrittenBar], first: int, stop: int, problems: Problems) -> tuple[Section, ...]:
    """The sections of bars first to stop - 1 in written order, which together hold each bar once.

    A repeat without a start goes back to the last repeat's end, double bar or the beginning (ABC 2.1 section 4.8).
    """
    finder = _Finder(bars, problems)
    finder.begin(first)
    finder.take_all(first, stop)
    return tuple(section for section in finder.sections if section.passages)


class _Finder:
    """Walks along the bars. The last of `sections` is the one being read; it ends where the next bar goes."""

    def __init__(self, bars: Sequence[WrittenBar], problems: Problems) -> None:
        self.sections: list[Section] = []
        self._bars = bars
        self._problems = problems
        self._closes = 1

    def begin(self, first: int) -> None:
        self._closes = 1
        self.sections.append(Section(first, opened=self._opens(first) > 0))

    def take_all(self, first: int, stop: int) -> None:
        for i in range(first, stop):
            passages = self.sections[-1].passages
            if passages and not passages[-1].passes and i + 1 < stop and _only_goes_on(self._bars[i]):
                passages[-1].stop = i + 1
            else:
                self._take(i, last=i + 1 == stop)

    def _take(self, i: int, *, last: bool) -> None:
        bar, section = self._bars[i], self.sections[-1]
        if bar.opens and i > section.first:
            self._end(section, i)
            section = self.sections[-1]
        passages = section.passages
        if bar.ending or not passages or (passages[-1].passes and self._common_again(i, section)):
            passages.append(Passage(bar.ending, i, i + 1))
        passages[-1].stop = i + 1
        if bar.closes > self._closes:
            self._closes = bar.closes
        if last or ((bar.closes or bar.double or bar.ends_ending) and self._ends_after(i, section)):
            self._end(section, i + 1)

    def _opens(self, i: int) -> int:
        return self._bars[i].opens if i < len(self._bars) else 0

    def _common_again(self, i: int, section: Section) -> bool:
        """Whether bar i, which follows an ending and begins none, is played on every repetition all the same.

        That is so after alternatives at the start of a repeat: after the bracket that closes the last of them; or,
        where none does, once the last is as long as the first of them, or, where there is only one, if that is a
        pick-up.
        """
        passage = section.passages[-1]
        if self._closes > 1:
            return False
        if self._bars[i - 1].ends_ending:
            return True
        if not section.opened or not section.passages[0].passes:
            return False
        if len(section.passages) == 1:
            return passage.stop - passage.first == 1 and is_short(self._bars[passage.first])
        first = section.passages[0]
        return passage.stop - passage.first == first.stop - first.first

    def _ends_after(self, i: int, section: Section) -> bool:
        """Whether the section is over after bar i, which ends in some way; another ending may follow its own."""
        bar = self._bars[i]
        in_ending = bool(section.passages[-1].passes)
        if not (bar.closes or bar.double or (in_ending and bar.ends_ending and self._closes > 1)):
            return False
        if in_ending:
            following = self._bars[i + 1].ending
            return (not following and not self._goes_on_after(bar)) or bool(set(following) & _passes(section))
        return bool(bar.closes) or not section.opened

    def _goes_on_after(self, bar: WrittenBar) -> bool:
        """Whether a bracket closes an ending before anything is repeated: a passage for all repetitions follows."""
        return bar.ends_ending and not bar.closes and self._closes == 1

    def _end(self, section: Section, after: int) -> None:
        section.plays = self._plays(section)
        self.begin(after)

    def _plays(self, section: Section) -> int:
        opened, bar = self._opens(section.first), self._bars[section.first]
        repeated = self._closes > 1
        if not repeated and len(section.endings) < 2:
            if opened:
                what = "the repeat that begins here has no end"
                self._problems.add(ProblemKind.REPEAT_NOT_CLOSED, bar.place, what, "write :| where it ends")
            if section.endings:
                self._lone_ending(section)
            return 1
        if not section.endings:
            return max(self._closes, opened)
        plays = max(self._closes, opened, *_passes(section))
        if not section.leads_with_alternatives:
            self._check_endings(section, plays)
        return plays

    def _lone_ending(self, section: Section) -> None:
        ending = section.endings[0]
        what = f"this is an ending for pass {ending.passes[0]}, but nothing is repeated"
        place = self._bars[ending.first].place
        self._problems.add(ProblemKind.ENDING_ALONE, place, what, "write |: and :| around what is repeated")
        ending.passes = (1,)

    def _check_endings(self, section: Section, plays: int) -> None:
        for ending in section.endings[:-1]:
            if not self._bars[ending.stop - 1].closes:
                place = self._bars[ending.first].place
                what = "this ending has no repeat sign at its end"
                self._problems.add(ProblemKind.ENDING_NOT_CLOSED, place, what, "write :| after it")
        missing = next((number for number in range(1, plays + 1) if number not in _passes(section)), None)
        if missing:
            place = self._bars[section.endings[0].first].place
            what = f"there is no ending for pass {missing}"
            self._problems.add(ProblemKind.ENDING_MISSING, place, what, f"write [{missing} and its bars")


def _only_goes_on(bar: WrittenBar) -> bool:
    """Whether nothing begins with a bar and nothing ends with it."""
    return not (bar.opens or bar.ending or bar.closes or bar.double or bar.ends_ending)


def _passes(section: Section) -> set[int]:
    return {number for passage in section.passages for number in passage.passes}
