"""The different bars of a tune, each with a rank: the same rank is the same bar."""

from __future__ import annotations

from dataclasses import dataclass

from companion.lesson.phrases.alike import Content, Likenesses
from companion.lesson.phrases.melody import SpanMelody, lead_in_length, melody_of
from companion.lesson.phrases.spans import PhraseSpan
from companion.lesson.phrases.surprise import surprise_of
from companion.score.model import Tune


@dataclass(frozen=True, slots=True)
class RankedBars:
    """The bars of a tune as ranks of different ones.

    whole: for each bar the rank of all of it. closing: for each bar the rank of what is left where it ends a phrase,
    without what leads into the next one. bits: what each different bar tells by itself.
    """

    whole: tuple[int, ...]
    closing: tuple[int, ...]
    bits: tuple[float, ...]
    likenesses: Likenesses

    def content(self, first: int, stop: int) -> Content:
        """Bars first to stop - 1 as a phrase. Phrases with equal contents are the same."""
        return (*self.whole[first : stop - 1], self.closing[stop - 1])

    def bits_of(self, content: Content) -> float:
        """What a phrase tells by itself."""
        return sum(self.bits[rank] for rank in content)


def rank_bars(tune: Tune, spans: tuple[PhraseSpan, ...]) -> RankedBars:
    """Give each bar of a tune the ranks of what it is, as a whole and at the end of a phrase."""
    lead_out = lead_in_length(tune, spans)
    ranks: dict[SpanMelody, int] = {}
    whole = tuple(ranks.setdefault(melody_of(bar), len(ranks)) for bar in tune.bars)
    closing = tuple(ranks.setdefault(melody_of(bar, lead_out), len(ranks)) for bar in tune.bars)
    surprise = surprise_of(melody_of(bar) for bar in tune.bars)
    bits = tuple(surprise.of(melody) for melody in ranks)
    return RankedBars(whole, closing, bits, Likenesses(tuple(ranks), surprise))
