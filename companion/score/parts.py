"""Divides the bars of a tune into parts, and parts into phrases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.score.model import Bar, Part
from companion.score.phrases import PhraseLetters, is_lead_in, phrase_starts, phrases

INTRODUCTION = "intro"


@dataclass(frozen=True, slots=True)
class PartStart:
    """A part begins at bar index `first`; `label` is None where it has no name."""

    first: int
    label: str | None = None


def divide(
    bars: Sequence[Bar], starts: Sequence[PartStart], later_endings: frozenset[int] = frozenset()
) -> tuple[Part, ...]:
    """The parts of a tune, which together hold each bar once.

    starts: where parts begin, in order. later_endings: bars of second and further endings, which belong to the phrase
    of the first one. Parts without a label are numbered "1", "2", ... A lone pick-up belongs to the part that follows
    it.
    """
    labels = {start.first: start.label for start in starts}
    labels.setdefault(0, INTRODUCTION if any(labels.values()) else None)
    firsts = _without_lead_ins(bars, sorted(labels), labels)
    letters = PhraseLetters()
    by_marks = any(bar.ends_phrase for bar in bars)
    parts: list[Part] = []
    for first, stop in pairwise([*firsts, len(bars)]):
        cuts = phrase_starts(bars, first, stop, later_endings, by_marks=by_marks)
        label = labels[first] or str(len(parts) + 1)
        parts.append(Part(label, first, stop, phrases(bars, cuts, stop, letters)))
    return tuple(parts)


def _without_lead_ins(bars: Sequence[Bar], firsts: list[int], labels: dict[int, str | None]) -> list[int]:
    """Join each part of a single short bar to the part after it, which then starts with that bar."""
    kept: list[int] = []
    carried: int | None = None
    for first, after in pairwise([*firsts, len(bars)]):
        start = first if carried is None else carried
        if after - start == 1 and after < len(bars) and is_lead_in(bars[start]):
            carried = start
            continue
        labels[start] = labels[first]
        kept.append(start)
        carried = None
    return kept
