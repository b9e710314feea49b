"""Cuts spans into phrases: of all cuts, the one by which the tune can be told in the fewest bits.

A tune is told phrase by phrase: how long it is, and then either "as that one", "made from that one" with what is
otherwise, or new, bar by bar, of which bars that were there before are cheap. Short phrases catch more that comes
back, long ones need less to be said of them; what is least in all (Rissanen's minimum description length) is what a
piper would call the phrases. A beam search keeps the best cuts so far, since what is known depends on the cuts before.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from companion.lesson.phrases.alike import Content
from companion.lesson.phrases.bars_alike import RankedBars
from companion.lesson.phrases.spans import PhraseSpan

# How often a phrase has so many bars, as counts before the tune is looked at: two most of all, four in long-phrased
# tunes, others are rare. Once a tune has phrases of one length, that length gets cheaper in it, by counting. Common
# practice, no source.
LENGTHS = {2: 4.0, 4: 0.8, 3: 0.05, 1: 0.01, 5: 0.01, 6: 0.005}

# How often a span has so many phrases: four is question, answer, question, answer, and in a part of four bars or fewer
# it is two. So eight bars are four phrases of two, sixteen may be four of four. Common practice, no source.
IN_SPAN = {4: 0.8, 8: 0.06, 6: 0.04, 3: 0.01, 5: 0.01, 1: 0.0005, 2: 0.0005}
IN_SHORT_SPAN = {2: 0.75, 1: 0.15, 4: 0.1}
SHORT_SPAN = 5

_NEW, _SAME, _MADE_FROM = -math.log2(0.45), -math.log2(0.4), -math.log2(0.15)
"""Bits to say what a phrase is: nearly half of them are new, most others come back as they were."""

_BAR_AGAIN = 2.0
"""Bits to say that a bar of a new phrase was there before: one in four is."""

_BEAM = 12
"""Cuts that are kept at each bar."""

MOST_BARS = 160
"""Bars up to which a tune is cut so; a longer one, several times the longest that is played, is cut by twos."""

BY_TWOS = 2


@dataclass(frozen=True, slots=True)
class _Told:
    """A tune told so far: bits, lengths of phrases, the different phrases, and where those of this span begin."""

    bits: float
    lengths: tuple[int, ...]
    known: tuple[Content, ...]
    starts: tuple[int, ...]

    @property
    def order(self) -> tuple[float, tuple[int, ...]]:
        """Cheapest first; of equals the earlier cut."""
        return self.bits, self.starts


def cut_by_likeness(
    spans: Sequence[PhraseSpan], bars: RankedBars, marked: Mapping[PhraseSpan, tuple[int, ...]]
) -> tuple[int, ...]:
    """The bars that begin phrases, the pick-ups and later endings of spans left to whoever closes them.

    marked: where they begin in those spans of which that is known. A phrase that begins where a first ending does may
    be followed by a later ending with phrases of its own.
    """
    if len(bars.whole) > MOST_BARS:
        return tuple(start for span in spans for start in marked.get(span, _by_twos(span)))
    teller = _Teller(bars)
    told = [_Told(0.0, (), (), ())]
    for span in spans:
        if span in marked:
            told = [teller.tell_as_marked(each, span, marked[span]) for each in told]
            continue
        told = teller.tell(told, span.body, span.main_stop)
        for ending in span.later_endings():
            apart = [each for each in told if has_phrases_of_its_own(span, ending, each.starts)]
            told = [each for each in told if each not in apart]
            told += teller.tell(apart, ending.start, ending.stop) if apart else []
        told = sorted(told, key=lambda each: each.order)[:_BEAM]
    return min(told, key=lambda each: each.order).starts


def has_phrases_of_its_own(span: PhraseSpan, ending: range, starts: Sequence[int]) -> bool:
    """Whether a later ending is cut into phrases of its own: it is two bars or more, and so is the first, as a phrase.

    Else it belongs to the phrase that the first ending ends.
    """
    return span.ending in starts and span.main_stop - span.ending > 1 and len(ending) > 1


def _by_twos(span: PhraseSpan) -> tuple[int, ...]:
    return tuple(range(span.body, span.main_stop, BY_TWOS))


class _Teller:
    """Tells the bars of a tune in bits."""

    def __init__(self, bars: RankedBars) -> None:
        self._bars = bars
        self._again = _savings(bars)

    def tell(self, told: Sequence[_Told], first: int, stop: int) -> list[_Told]:
        """Go on by bars first to stop - 1 in every way; the best ways."""
        reached: list[list[_Told]] = [[] for _ in range(stop - first + 1)]
        reached[0] = list(told)
        for i in range(stop - first):
            best = sorted(reached[i], key=lambda each: each.order)[:_BEAM]
            for each in best:
                for length in LENGTHS:
                    if i + length <= stop - first:
                        reached[i + length].append(self._one_more(each, first + i, first + i + length))
        ends = [self._closed(each, first, stop) for each in reached[-1]]
        return sorted(ends, key=lambda each: each.order)[:_BEAM]

    def tell_as_marked(self, told: _Told, span: PhraseSpan, starts: Sequence[int]) -> _Told:
        """Go on by a span whose phrases are known."""
        for start, after in pairwise((*starts, span.stop)):
            stop = span.main_stop if start < span.main_stop < after else after
            told = self._one_more(told, start, stop)
        return told

    def _closed(self, told: _Told, first: int, stop: int) -> _Told:
        """Add what it takes to say how many phrases a span has."""
        shares = IN_SHORT_SPAN if stop - first <= SHORT_SPAN else IN_SPAN
        count = sum(start >= first for start in told.starts)
        return replace(told, bits=told.bits - math.log2(shares.get(count, min(shares.values()))))

    def _one_more(self, told: _Told, first: int, stop: int) -> _Told:
        """Tell the phrase of bars first to stop - 1."""
        length = stop - first
        counted = told.lengths.count(length) + LENGTHS.get(length, min(LENGTHS.values()))
        share = counted / (len(told.lengths) + sum(LENGTHS.values()))
        content = self._bars.content(first, stop)
        bits = told.bits - math.log2(share) + self._phrase(told, content, first, stop)
        known = told.known if content in told.known else (*told.known, content)
        return _Told(bits, (*told.lengths, length), known, (*told.starts, first))

    def _phrase(self, told: _Told, content: Content, first: int, stop: int) -> float:
        """Bits to say what a phrase is, counted from what its bars tell by themselves."""
        which = math.log2(max(1, len(told.known)))
        if content in told.known:
            return _SAME + which - self._bars.bits_of(content)
        new = _NEW + sum(self._again[first:stop])
        ratios = [self._bars.likenesses.of_phrases(content, each) for each in told.known if len(each) == len(content)]
        return min(new, _MADE_FROM + which - max(ratios, default=0.0))


def _savings(bars: RankedBars) -> tuple[float, ...]:
    """For each bar what is saved in a new phrase because the bar was there before: below 0, or 0."""
    seen: set[int] = set()
    found: list[float] = []
    for rank in bars.whole:
        again = _BAR_AGAIN + math.log2(len(seen)) - bars.bits[rank] if rank in seen else 0.0
        found.append(min(0.0, again))
        seen.add(rank)
    return tuple(found)
