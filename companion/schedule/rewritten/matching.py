"""Matches the bars of a tune with those of the same tune after it was written anew."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from fractions import Fraction
from itertools import zip_longest

from companion.score.model import Bar, MelodyNote, Meter, Tune
from companion.score.place import Place

MOST_COMPARED = 40_000
"""Bars before times bars after, without those that are alike at both ends, up to which they are searched for equal
ones: 200 bars of two sorts, put together anew by chance, took 4 ms here, which the window waits for. Of more, the bars
between those ends are matched by their order alone."""

_NOWHERE = Place("", 0, 0)

Written = tuple[Meter, Fraction, tuple[MelodyNote, ...]]
"""What makes a bar the same bar: its metre, its length and its notes, wherever it stands in the file."""


@dataclass(frozen=True, slots=True)
class Match:
    """Bars of the old row and those of the new one that stand in their place; `equal` if they are the same, bar by bar.

    Either range may be empty: bars that are gone, or new.
    """

    old: range
    new: range
    equal: bool


@dataclass(frozen=True, slots=True)
class BarChanges:
    """Written bars by their numbers: those that changed and those that are new, as numbered now, and those gone."""

    changed: tuple[int, ...] = ()
    new: tuple[int, ...] = ()
    gone: tuple[int, ...] = ()

    @property
    def count(self) -> int:
        """How many bars there are in all."""
        return len(self.changed) + len(self.new) + len(self.gone)


@dataclass(frozen=True, slots=True)
class TurnNow:
    """Where a turn of the old performance is in the new one, an index of its order; `stays` unless its bar is gone.

    The turn of a bar that is gone is the one that is played next.
    """

    turn: int
    stays: bool


def written(bar: Bar) -> Written:
    """A bar without its number, its place and its tempo."""
    notes = tuple(note._replace(rank=0, place=_NOWHERE, grace_offsets=()) for note in bar.notes)
    return bar.meter, bar.length, notes


def matches(old: Sequence[int], new: Sequence[int]) -> Iterator[Match]:
    """Yield the matches of two rows of bars, each bar a number that equal bars share, in order."""
    shorter = min(len(old), len(new))
    first = next((i for i in range(shorter) if old[i] != new[i]), shorter)
    most = shorter - first
    last = next((i for i in range(most) if old[-1 - i] != new[-1 - i]), most)
    if first:
        yield Match(range(first), range(first), True)
    yield from _between(old, new, range(first, len(old) - last), range(first, len(new) - last))
    if last:
        yield Match(range(len(old) - last, len(old)), range(len(new) - last, len(new)), True)


def _between(old: Sequence[int], new: Sequence[int], here: range, there: range) -> Iterator[Match]:
    """Yield the matches of what lies between equal ends."""
    if len(here) * len(there) > MOST_COMPARED:
        yield Match(here, there, False)
        return
    middle, other = old[here.start : here.stop], new[there.start : there.stop]
    for tag, i0, i1, j0, j1 in SequenceMatcher(None, middle, other, autojunk=False).get_opcodes():
        yield Match(here[i0:i1], there[j0:j1], tag == "equal")


def changes(old: Tune, new: Tune) -> BarChanges:
    """Which of the written bars of a tune changed, are new or are gone. Where it is numbered anew, nothing changed."""
    found = BarChanges()
    before, after = _numbered(old, new)
    for match in matches(before, after):
        pairs = [] if match.equal else zip_longest(match.old, match.new)
        for was, now in pairs:
            if was is None:
                found = replace(found, new=(*found.new, new.bars[now].number))
            elif now is None:
                found = replace(found, gone=(*found.gone, old.bars[was].number))
            else:
                found = replace(found, changed=(*found.changed, new.bars[now].number))
    return found


def turns_now(old: Tune, new: Tune) -> tuple[TurnNow, ...]:
    """Where each turn of a tune as it was played, an index of its order, is in the tune as it is played now."""
    before, after = _numbered(old, new)
    last = len(new.order) - 1
    found: list[TurnNow] = []
    for match in matches([before[index] for index in old.order], [after[index] for index in new.order]):
        for rank in range(len(match.old)):
            stays = rank < len(match.new)
            found.append(TurnNow(min(match.new.start + rank if stays else match.new.stop, last), stays))
    return tuple(found)


def _numbered(old: Tune, new: Tune) -> tuple[list[int], list[int]]:
    """The written bars of both as numbers that equal bars share."""
    known: dict[Written, int] = {}
    before, after = ([known.setdefault(written(bar), len(known)) for bar in tune.bars] for tune in (old, new))
    return before, after
