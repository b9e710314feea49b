"""Finds what is repeated in a stretch of written bars, and with which endings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from companion.score.abc.problems import Problems
from companion.score.abc.written import WrittenBar


@dataclass(slots=True)
class Ending:
    """Bars first to stop - 1, played on some `passes` only."""

    passes: tuple[int, ...]
    first: int
    stop: int


@dataclass(slots=True)
class Section:
    """A stretch played `plays` times: bars first to stop - 1, then the ending of each pass. `opened`: by a ``|:``."""

    first: int
    stop: int
    opened: bool
    plays: int = 1
    endings: list[Ending] = field(default_factory=list)

    def a_pass(self, number: int) -> Iterator[int]:
        """The bars of one pass, counted from 1."""
        yield from range(self.first, self.stop)
        for ending in self.endings:
            if number in ending.passes:
                yield from range(ending.first, ending.stop)
                return


def find_sections(bars: Sequence[WrittenBar], first: int, stop: int, problems: Problems) -> tuple[Section, ...]:
    """The sections of bars first to stop - 1 in written order, which together hold each bar once.

    A repeat without a start goes back to the last repeat's end, double bar or the beginning (ABC 2.1 section 4.8).
    """
    finder = _Finder(bars, problems)
    finder.begin(first)
    for i in range(first, stop):
        finder.take(i, last=i + 1 == stop)
    return tuple(section for section in finder.sections if section.endings or section.stop > section.first)


class _Finder:
    """Walks along the bars; the section at hand is the last of `sections`, its bars open to the right."""

    def __init__(self, bars: Sequence[WrittenBar], problems: Problems) -> None:
        self.sections: list[Section] = []
        self._bars = bars
        self._problems = problems
        self._closes = 1

    def begin(self, first: int) -> None:
        self._closes = 1
        self.sections.append(Section(first, first, opened=self._opens(first) > 0))

    def take(self, i: int, *, last: bool) -> None:
        bar, section = self._bars[i], self.sections[-1]
        if bar.opens and i > section.first:
            self._end(section, i)
            section = self.sections[-1]
        if bar.ending:
            section.endings.append(Ending(bar.ending, i, i + 1))
        if section.endings:
            section.endings[-1].stop = i + 1
        else:
            section.stop = i + 1
        self._closes = max(self._closes, bar.closes)
        if last or self._ends_after(i, section):
            self._end(section, i + 1)

    def _opens(self, i: int) -> int:
        return self._bars[i].opens if i < len(self._bars) else 0

    def _ends_after(self, i: int, section: Section) -> bool:
        """Whether the section is over after bar i; another ending may follow the one that ends there."""
        bar = self._bars[i]
        if not (bar.closes or bar.double):
            return False
        if section.endings:
            return not self._bars[i + 1].ending or set(self._bars[i + 1].ending) & _passes(section) != set()
        return bool(bar.closes) or not section.opened

    def _end(self, section: Section, after: int) -> None:
        section.plays = self._plays(section)
        self.begin(after)

    def _plays(self, section: Section) -> int:
        opened, bar = self._opens(section.first), self._bars[section.first]
        repeated = self._closes > 1
        if not repeated and len(section.endings) < 2:
            if opened:
                self._problems.warn(bar.place, "the repeat that begins here has no end", "write :| where it ends")
            if section.endings:
                self._lone_ending(section.endings[0])
            return 1
        if not section.endings:
            return max(self._closes, opened)
        plays = max(self._closes, opened, *_passes(section))
        self._check_endings(section, plays)
        return plays

    def _lone_ending(self, ending: Ending) -> None:
        what = f"this is an ending for pass {ending.passes[0]}, but nothing is repeated"
        self._problems.warn(self._bars[ending.first].place, what, "write |: and :| around what is repeated")
        ending.passes = (1,)

    def _check_endings(self, section: Section, plays: int) -> None:
        for ending in section.endings[:-1]:
            if not self._bars[ending.stop - 1].closes:
                place = self._bars[ending.first].place
                self._problems.warn(place, "this ending has no repeat sign at its end", "write :| after it")
        missing = next((number for number in range(1, plays + 1) if number not in _passes(section)), None)
        if missing:
            place = self._bars[section.endings[0].first].place
            self._problems.warn(place, f"there is no ending for pass {missing}", f"write [{missing} and its bars")


def _passes(section: Section) -> set[int]:
    return {number for ending in section.endings for number in ending.passes}
