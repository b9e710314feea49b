"""Divides a part into phrases, and gives phrases that are played alike the same letter."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from operator import itemgetter
from string import ascii_lowercase

from companion.score.model import Bar, MelodyNote, Phrase

# Where the writer marked none, a phrase is two full bars: common practice, no source.
BARS_IN_PHRASE = 2

# Bars are measured in whole numbers of this share of a full bar.
_FULL = 5040
_HALF = _FULL // 2

_NOTE = itemgetter(MelodyNote._fields.index("note"))
_GRACENOTES = itemgetter(MelodyNote._fields.index("gracenotes"))
_DURATION = itemgetter(MelodyNote._fields.index("duration"))

Sounds = tuple[tuple[object, ...], ...]
"""Of each bar the pitches of its notes, and the gracenotes onto each."""
Lengths = tuple[tuple[tuple[int, int], ...], ...]


def is_lead_in(bar: Bar) -> bool:
    """Whether a bar is at most half full, so that it leads into what follows rather than being a bar of its own."""
    return _share(bar) <= _HALF


def _share(bar: Bar) -> int:
    """How much of a full bar a bar is, in parts of _FULL; in a free metre every bar is a full one."""
    return _share_of(*bar.length.as_integer_ratio(), bar.meter.beats, bar.meter.unit)


@lru_cache(maxsize=1024)
def _share_of(numerator: int, denominator: int, beats: int, unit: int) -> int:
    return round(Fraction(_FULL * numerator * unit, denominator * beats)) if beats else _FULL


def phrase_starts(
    bars: Sequence[Bar], first: int, stop: int, later_endings: frozenset[int], *, by_marks: bool
) -> list[int]:
    """Indices of the bars that begin a phrase, from `first` on: after each mark (`by_marks`), or every two full bars.

    A lead-in belongs to the phrase that follows it and is not counted; neither are second and further endings.
    """
    starts = [first]
    filled = share = 0
    full = False
    alike: Bar | None = None
    for i in range(first, stop):
        if full and i not in later_endings:
            starts.append(i)
            filled, full = 0, False
        if by_marks:
            full = full or bars[i].ends_phrase
        elif i not in later_endings:
            bar = bars[i]
            if alike is None or bar.length is not alike.length or bar.meter is not alike.meter:
                alike, share = bar, _share(bar)
            filled += share if filled or share > _HALF else 0
            full = filled >= BARS_IN_PHRASE * _FULL - _HALF
    return starts


class PhraseLetters:
    """Hands out the letters of phrases: phrases that are played alike get the same letter, the first of all "a".

    Lengths are compared only where two phrases have the same notes, since comparing fractions is slow.
    """

    def __init__(self) -> None:
        self._count = 0
        self._first: dict[Sounds, tuple[Sequence[Bar], int]] = {}
        self._given: dict[tuple[Sounds, Lengths], str] = {}

    def of(self, bars: Sequence[Bar]) -> str:
        """The letter of a phrase, by pitch, length and gracenotes of each of its notes; lead-ins do not count."""
        body = bars[1:] if len(bars) > 1 and is_lead_in(bars[0]) else bars
        sounds = tuple([(tuple(map(_NOTE, bar.notes)), tuple(map(_GRACENOTES, bar.notes))) for bar in body])
        first, rank = self._first.setdefault(sounds, (body, self._count))
        if first is body:
            self._count += 1
            return _letter(rank)
        if _durations(first) == _durations(body):
            return _letter(rank)
        self._given.setdefault((sounds, _lengths(first)), _letter(rank))
        alike = sounds, _lengths(body)
        if alike not in self._given:
            self._given[alike] = _letter(self._count)
            self._count += 1
        return self._given[alike]


def _durations(bars: Sequence[Bar]) -> list[list[Fraction]]:
    """The lengths of all notes, which are compared quickly where they are the same objects, as they mostly are."""
    return [list(map(_DURATION, bar.notes)) for bar in bars]


def _lengths(bars: Sequence[Bar]) -> Lengths:
    """The lengths of all notes, as two ints each, which are hashed far quicker than a fraction."""
    return tuple([tuple([note.duration.as_integer_ratio() for note in bar.notes]) for bar in bars])


def phrases(bars: Sequence[Bar], starts: Sequence[int], stop: int, letters: PhraseLetters) -> tuple[Phrase, ...]:
    """The phrases that begin at `starts`; the last ends before bar `stop`."""
    return tuple(Phrase(first, after, letters.of(bars[first:after])) for first, after in pairwise([*starts, stop]))


def _letter(rank: int) -> str:
    """The letter of the phrase with that rank: a to z, then aa, ab, ..."""
    rest, last = divmod(rank, 26)
    return (_letter(rest - 1) if rest else "") + ascii_lowercase[last]
