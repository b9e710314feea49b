"""Finds the parts of a take and their repeats: the shortest way of writing it down, in parts as long as parts are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from companion.notate.form.likeness import TakeLikeness
from companion.notate.pulse.counted import CountedTake
from companion.notate.pulse.feet import TICKS

USUAL_BARS = {8: 0.5, 4: 1.6, 16: 1.6, 6: 2.2, 12: 2.2, 2: 3.0}
ODD_BARS = 3.5
"""What a part of so many bars costs, in bars that are written: common practice, no source. It is by this that a march
in 2/4 is known from one in 4/4 whose parts have four bars."""

ENDING = 0.4
DIFFERS = 12.0
"""What a bar that is played otherwise the second time costs, all of it otherwise: a slip in one quaver of eight costs
hardly less than writing the bar anew."""

MOST_APART = 0.45
"""Bars that are further apart are not the same bar."""

RETURN = 0.7
LONGEST_PART = 32


@dataclass(frozen=True, slots=True)
class FoundPart:
    """A part: the first of its bars, how many, how often it is played in a row; how many of its last bars are written
    for each time (endings); and which part before it comes back (None: it is a new one)."""

    first: int
    bars: int
    plays: int
    endings: int = 0
    returns: int | None = None

    @property
    def stop(self) -> int:
        """The bar after all its repeats."""
        return self.first + self.bars * self.plays


@dataclass(frozen=True, slots=True)
class FoundForm:
    """The parts of a take, and what writing it so costs, in bars."""

    parts: tuple[FoundPart, ...]
    cost: float

    @property
    def odd(self) -> float:
        """How much of the cost is for parts that are not as long as most, for each part."""
        lengths = [_odd(part.bars) for part in self.parts if part.returns is None]
        return sum(lengths) / len(lengths)

    @property
    def written(self) -> float:
        """The rest of the cost: the bars that are written, and what differs in repeats."""
        return self.cost - sum(_odd(part.bars) for part in self.parts if part.returns is None)


def _odd(bars: int) -> float:
    return USUAL_BARS.get(bars, ODD_BARS)


def find_form(take: CountedTake, feet_in_bar: int, likeness: TakeLikeness | None = None) -> FoundForm:
    """Return the cheapest form of a take in bars of so many feet, which are counted from its first note."""
    return _FormSearch(take, feet_in_bar, likeness or TakeLikeness(take)).best()


class _FormSearch:
    def __init__(self, take: CountedTake, feet_in_bar: int, likeness: TakeLikeness) -> None:
        self._bar = feet_in_bar * TICKS
        self._start = take.notes[0].start
        ticks = take.notes[-1].end - self._start
        self._count = max(1, -(-(ticks - self._bar // 3) // self._bar))
        self._likeness = likeness
        self._apart = lru_cache(maxsize=None)(self._measured)

    def _measured(self, first: int, second: int) -> float:
        return self._likeness.apart(self._start + first * self._bar, self._start + second * self._bar, self._bar)

    def best(self) -> FoundForm:
        count = self._count
        costs = [0.0] + [float("inf")] * count
        ways: list[tuple[FoundPart, ...]] = [() for _ in range(count + 1)]
        for at in range(count):
            for part, cost in self._parts_from(at, ways[at]):
                if costs[at] + cost < costs[part.stop] - 1e-9:
                    costs[part.stop] = costs[at] + cost
                    ways[part.stop] = (*ways[at], part)
        return FoundForm(ways[count], costs[count])

    def _parts_from(self, at: int, before: Sequence[FoundPart]) -> Iterator[tuple[FoundPart, float]]:
        for bars in range(1, min(LONGEST_PART, self._count - at) + 1):
            length = _odd(bars)
            yield FoundPart(at, bars, 1), bars + length
            if at + 2 * bars <= self._count:
                for endings in range(max(1, bars // 4) + 1 if bars >= 4 else 1):
                    differs = self._differs(at, at + bars, bars - endings)
                    if differs is not None:
                        written = bars + endings + (ENDING if endings else 0.0)
                        yield FoundPart(at, bars, 2, endings), written + differs + length
        yield from self._returns(at, before)

    def _returns(self, at: int, before: Sequence[FoundPart]) -> Iterator[tuple[FoundPart, float]]:
        """Yield the parts that may come back; one with endings comes back with its repeat."""
        for rank, old in enumerate(before[:-1]):
            if old.returns is None and old.endings == 0:
                for plays in range(1, 3):
                    yield from self._again(at, old, rank, plays)
            elif old.returns is None:
                yield from self._again(at, old, rank, old.plays)

    def _again(self, at: int, old: FoundPart, rank: int, plays: int) -> Iterator[tuple[FoundPart, float]]:
        if at + old.bars * plays > self._count:
            return
        differs: float | None = 0.0
        for play in range(plays):
            first = old.first + (old.bars * play if old.endings else 0)
            more = self._differs(first, at + old.bars * play, old.bars)
            differs = None if more is None or differs is None else differs + more
        if differs is not None:
            yield FoundPart(at, old.bars, plays, old.endings, rank), RETURN + differs

    def _differs(self, first: int, second: int, bars: int) -> float | None:
        total = 0.0
        for each in range(bars):
            apart = self._apart(first + each, second + each)
            if apart > MOST_APART:
                return None
            total += DIFFERS * apart
        return total
