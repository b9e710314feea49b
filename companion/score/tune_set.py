"""A set: tunes that are played one after the other without stopping, as one tune."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from companion.score.model import Bar, Tune


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a set stands: the title of the tune that is played, and of the one that comes next, "" for none."""

    title: str
    following: str


def joined(tunes: Sequence[Tune]) -> Tune:
    """Tunes as one, in their order, each at its own tempo where it has one; two at least.

    A last bar that a pick-up is missing from leads into the next tune's pick-up, as it does within a tune.
    """
    first, *others = tunes
    for tune in others:
        first = _with(first, tune)
    return replace(first, title=" / ".join(tune.title for tune in tunes), fits=None)


def standing(tunes: Sequence[Tune], turn: int) -> Standing:
    """The tune of a set in which a turn lies, an index of the joined tune's order, and the one after it."""
    ends = accumulate(len(tune.order) for tune in tunes)
    rank = next((rank for rank, end in enumerate(ends) if turn < end), len(tunes) - 1)
    return Standing(tunes[rank].title, tunes[rank + 1].title if rank + 1 < len(tunes) else "")


def _with(before: Tune, tune: Tune) -> Tune:
    bars, ranks = len(before.bars), len(before.notes)

    def moved(bar: Bar) -> Bar:
        notes = tuple(note._replace(rank=note.rank + ranks) for note in bar.notes)
        return bar._replace(notes=notes, tempo=bar.tempo or tune.tempo)

    parts = (
        replace(
            part,
            first=part.first + bars,
            stop=part.stop + bars,
            phrases=tuple(replace(each, first=each.first + bars, stop=each.stop + bars) for each in part.phrases),
        )
        for part in tune.parts
    )
    return replace(
        before,
        bars=(*before.bars, *map(moved, tune.bars)),
        order=(*before.order, *(index + bars for index in tune.order)),
        parts=(*before.parts, *parts),
    )
