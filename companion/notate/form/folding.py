"""Folds a take into its written parts: repeats become one, with endings where they end otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.notate.form.likeness import TakeLikeness
from companion.notate.form.metre import FoundMetre
from companion.notate.form.parts import FoundPart
from companion.notate.form.voting import Differing, Version, shifted, vote
from companion.notate.pulse.counted import CountedTake

ALIKE = 0.12
"""Bars elsewhere that are hardly further apart have a vote on how long notes are."""


@dataclass(frozen=True, slots=True)
class WrittenStretch:
    """What is written of a part: its notes from tick 0, how long it is, and where its versions differed."""

    notes: Version
    ticks: int
    differing: tuple[Differing, ...] = ()


@dataclass(frozen=True, slots=True)
class FoldedPart:
    """A part as written: what all its repeats have, the endings (none, or one for each time), how often it is played
    before another part follows, and how it was found."""

    body: WrittenStretch
    endings: tuple[WrittenStretch, ...]
    plays: int
    found: FoundPart


@dataclass(frozen=True, slots=True)
class FoldedTake:
    """The parts that are written, and the order in which they are played, as ranks with how often in a row."""

    parts: tuple[FoldedPart, ...]
    order: tuple[tuple[int, int], ...]

    @property
    def is_planned(self) -> bool:
        """Whether a part comes back after another, so that a plan must tell the order."""
        return len(self.order) > len(self.parts)


def fold(take: CountedTake, metre: FoundMetre) -> FoldedTake:
    """Fold a take by the form that was found for it."""
    return _Folder(take, metre).fold()


class _Folder:
    def __init__(self, take: CountedTake, metre: FoundMetre) -> None:
        self._take, self._metre = take, metre
        self._likeness = TakeLikeness(take)
        self._origin = take.notes[0].start
        self._bars = metre.form.parts[-1].stop

    def fold(self) -> FoldedTake:
        parts = self._metre.form.parts
        ranks: dict[int, int] = {}
        order: list[tuple[int, int]] = []
        folded: list[FoldedPart] = []
        for rank, part in enumerate(parts):
            if part.returns is None:
                ranks[rank] = len(folded)
                again = [each for each in parts if each.returns == rank]
                folded.append(self._part(part, again))
            order.append((ranks[rank if part.returns is None else part.returns], part.plays))
        return FoldedTake(tuple(folded), tuple(order))

    def _part(self, part: FoundPart, again: Sequence[FoundPart]) -> FoldedPart:
        bar = self._metre.bar_ticks
        plays = [(each.first + play * each.bars, play) for each in (part, *again) for play in range(each.plays)]
        whole = part.bars * bar
        common = whole
        if part.endings:
            lead = self._metre.pick_up
            common = whole - part.endings * bar + lead
        body = self._stretch([first for first, _ in plays], 0, common)
        endings: tuple[WrittenStretch, ...] = ()
        if part.endings:
            endings = tuple(
                self._stretch([first for first, number in plays if number == each], common, whole) for each in range(2)
            )
        return FoldedPart(body, endings, part.plays, part)

    def _stretch(self, firsts: Sequence[int], start: int, stop: int) -> WrittenStretch:
        """The stretch from tick to tick of a part that was played from each of these bars on."""
        bar = self._metre.bar_ticks
        origins = [self._origin + first * bar for first in firsts]
        versions = [self._version(origin + start, stop - start) for origin in origins]
        more = [self._alike(origins[0] + at, origins, at - start) for at in range(start - start % bar, stop, bar)]
        voted = vote(versions, stop - start, more)
        return WrittenStretch(voted.notes, stop - start, voted.differing)

    def _version(self, start: int, ticks: int) -> Version:
        """The notes of a stretch; what sounds on from before begins it, and what sounds on after it is cut off."""
        found = [
            replace(
                each,
                start=max(each.start, start),
                length=min(each.end, start + ticks) - max(each.start, start),
                graces=each.graces if each.start >= start else (),
            )
            for each in self._take.notes
            if each.start < start + ticks and each.end > start
        ]
        if found and found[-1].end < start + ticks and found[-1].end >= self._take.notes[-1].end:
            found[-1] = replace(found[-1], length=start + ticks - found[-1].start)
        return shifted(found, -start)

    def _alike(self, first: int, origins: Sequence[int], at: int) -> tuple[Version, ...]:
        """Bars elsewhere that are like the one from tick `first` on, moved to tick `at`."""
        bar = self._metre.bar_ticks
        here = {origin - self._origin for origin in origins}
        found: list[Version] = []
        for rank in range(self._bars):
            other = self._origin + rank * bar
            if other == first or (first - other) in {one - two for one in here for two in here}:
                continue
            if self._likeness.apart(first, other, bar) <= ALIKE:
                found.append(shifted(self._version(other, bar), at))
        return tuple(found)
