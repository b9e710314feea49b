"""The plan of a tune: its phrases by its own marks and form where it has them, else found; named and compared."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.lesson.model.phrases import FoundPhrase, Likeness, PhraseEnd, TunePlan
from companion.lesson.phrases.bars_alike import RankedBars, rank_bars
from companion.lesson.phrases.cutting import cut_by_likeness, has_phrases_of_its_own
from companion.lesson.phrases.differing import compare
from companion.lesson.phrases.ends import end_of, home_of
from companion.lesson.phrases.naming import Name, name_phrases
from companion.lesson.phrases.spans import PhraseSpan, spans_of
from companion.score.model import Tune
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class _Cut:
    """A phrase that has no name yet, as indices of `Tune.bars`.

    first to stop - 1: all its bars. body: those that are played the first time, without a pick-up. ends_span: whether
    the span that it lies in ends with it.
    """

    first: int
    stop: int
    body: range
    ends_span: bool


def plan_of(tune: Tune) -> TunePlan:
    """Find the phrases of a tune, name them by what they are to those before, and tell where they differ."""
    spans = spans_of(tune)
    bars = rank_bars(tune, spans)
    starts = cut_by_likeness(spans, bars, _marked(tune, spans))
    cuts = [cut for span in spans for cut in _close(span, starts)]
    names = name_phrases([bars.content(cut.body.start, cut.body.stop) for cut in cuts], bars)
    home = home_of(tune, spans)
    ends = [_end(tune, cut, home) for cut in cuts]
    phrases = tuple(_found(tune, bars, cuts, names, rank, end) for rank, end in enumerate(ends))
    firsts = [phrase.first for phrase in phrases]
    parts = tuple(range(bisect_left(firsts, part.first), bisect_left(firsts, part.stop)) for part in tune.parts)
    return TunePlan(phrases, parts)


def _marked(tune: Tune, spans: Sequence[PhraseSpan]) -> dict[PhraseSpan, tuple[int, ...]]:
    """Where phrases begin in those spans that lie in a part in which the writer marked where phrases end."""
    found: dict[PhraseSpan, tuple[int, ...]] = {}
    for span in spans:
        part = tune.parts[tune.part_of(span.first)]
        if any(bar.ends_phrase for bar in tune.bars[part.first : part.stop - 1]):
            starts = [span.body, *_after_marks(tune, span.body, span.main_stop)]
            for ending in span.later_endings():
                if has_phrases_of_its_own(span, ending, starts):
                    starts += [ending.start, *_after_marks(tune, ending.start, ending.stop)]
            found[span] = tuple(starts)
    return found


def _after_marks(tune: Tune, first: int, stop: int) -> Iterator[int]:
    """The bars between bar `first` and bar `stop` that follow a mark."""
    return (i + 1 for i in range(first, stop - 1) if tune.bars[i].ends_phrase)


def _close(span: PhraseSpan, starts: Sequence[int]) -> Iterator[_Cut]:
    """The phrases of a span that begin at these bars, with its pick-up and its later endings."""
    ours = [start for start in starts if span.first <= start < span.stop]
    apart = {start for start in span.later if start in ours}
    for rank, (start, after) in enumerate(pairwise([*ours, span.stop])):
        inner_stop = span.main_stop if start < span.main_stop else span.stop
        first = start if rank else span.first
        yield _Cut(first, after, range(start, min(after, inner_stop)), after in apart or after >= inner_stop)


def _end(tune: Tune, cut: _Cut, home: Note | None) -> PhraseEnd:
    return end_of(tune.bars[cut.stop - 1], home, ends_part=cut.ends_span)


def _found(
    tune: Tune, bars: RankedBars, cuts: Sequence[_Cut], names: Sequence[Name], rank: int, end: PhraseEnd
) -> FoundPhrase:
    cut, name = cuts[rank], names[rank]
    if name.like is None:
        return FoundPhrase(name.text, cut.first, cut.stop, end)
    like = names[name.like].text
    likeness, differences = compare(tune, bars, cut.body, cuts[name.like].body)
    if name.is_new:
        likeness, differences = Likeness.SAME_RHYTHM, ()
    return FoundPhrase(name.text, cut.first, cut.stop, end, like, likeness, differences)
