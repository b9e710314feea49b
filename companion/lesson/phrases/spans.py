"""Where a tune's own form says that phrases begin and end: parts, repeats, endings, pick-ups.

A tune keeps its parts and the order of playing, and not the signs that it was written with; repeats and endings are
read off that order again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.score.model import Bar, Tune
from companion.score.phrases import is_lead_in

# A later ending that no repeat, part or other ending ends is as long as the first; up to so many times as long where
# the next such place is near, since second endings are often written out a little longer. Our own choice.
_LONGER = 2


@dataclass(frozen=True, slots=True)
class PhraseSpan:
    """Bars that belong together by the tune's own form, as indices of `Tune.bars`: no phrase reaches over its ends.

    first to stop - 1: all of them. body: where the first full bar is, after a pick-up. ending: where the first ending
    begins, `main_stop` where there is none. main_stop: where what is played the first time ends. later: where each
    later ending begins.
    """

    first: int
    stop: int
    body: int
    ending: int
    main_stop: int
    later: tuple[int, ...] = ()

    def later_endings(self) -> Iterator[range]:
        """The bars of each later ending."""
        for first, stop in pairwise((*self.later, self.stop)):
            yield range(first, stop)


def spans_of(tune: Tune) -> tuple[PhraseSpan, ...]:
    """The spans of a tune in written order, without holes or overlaps; no span reaches over the end of a part."""
    endings = _later_endings(tune)
    cuts = _without_lone_pick_ups(tune, _cuts(tune, endings))
    return tuple(_span(tune, first, stop, endings) for first, stop in pairwise((*cuts, len(tune.bars))))


def _later_endings(tune: Tune) -> dict[int, tuple[int, ...]]:
    """Where later endings begin, by where their first ending does.

    Playing leaps over the first ending to a later one: forwards, and not to where a part begins.
    """
    starts = {part.first for part in tune.parts}
    found: defaultdict[int, set[int]] = defaultdict(set)
    for left, right in pairwise(tune.order):
        if right > left + 1 and not starts & set(range(left + 1, right + 1)):
            found[left + 1].add(right)
    return {first: tuple(sorted(later)) for first, later in sorted(found.items())}


def _cuts(tune: Tune, endings: dict[int, tuple[int, ...]]) -> list[int]:
    """Where spans begin: where parts do, at repeats and after them, and after later endings.

    Also at a pick-up that makes one bar with the bar before it: a double bar must have stood between them.
    """
    inside = {start for later in endings.values() for start in later}
    cuts = {0, *(part.first for part in tune.parts)}
    for left, right in pairwise(tune.order):
        if right <= left:
            cuts |= {right, left + 1}
    cuts |= {i for i in range(1, len(tune.bars)) if _makes_one_with(tune.bars[i - 1], tune.bars[i])}
    cuts = {cut for cut in cuts if cut < len(tune.bars)} - inside
    for first, later in endings.items():
        length = later[0] - first
        following = min((cut for cut in cuts if cut > later[-1]), default=len(tune.bars))
        if following > later[-1] + _LONGER * length:
            cuts.add(later[-1] + length)
    return sorted(cuts)


def _makes_one_with(bar: Bar, pick_up: Bar) -> bool:
    full = bar.meter.bar_length
    return is_lead_in(pick_up) and bar.length < (full or 0) and bar.length + pick_up.length == full


def _without_lone_pick_ups(tune: Tune, cuts: Sequence[int]) -> list[int]:
    """Join each span that is a pick-up alone to the one after it, within a part."""
    parts = {part.first for part in tune.parts}
    kept = [cuts[0]]
    for before, cut in pairwise(cuts):
        lone = cut - before == 1 and kept[-1] == before and is_lead_in(tune.bars[before])
        if cut in parts or not lone:
            kept.append(cut)
    return kept


def _span(tune: Tune, first: int, stop: int, endings: dict[int, tuple[int, ...]]) -> PhraseSpan:
    body = first + 1 if first + 1 < stop and is_lead_in(tune.bars[first]) else first
    for ending, later in endings.items():
        within = tuple(start for start in later if first < start < stop)
        if body < ending < stop and within:
            return PhraseSpan(first, stop, body, ending, within[0], within)
    return PhraseSpan(first, stop, body, stop, stop)
