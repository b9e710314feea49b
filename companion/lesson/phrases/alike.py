"""How alike two bars or phrases are: how much likelier it is that one was made from the other than by itself.

All is in bits, as log-likelihood ratios: above 0, "made from the other" explains the notes better. A note that both
have speaks for it by as much as it tells (`Surprise`); each change speaks against it by how rare such a change is
between a phrase and its variant. The shares below are common practice put in numbers, no source: they say that a
variant keeps its notes on the beat before all, then its other notes, then lengths, then gracenotes.
"""

from __future__ import annotations

import enum
import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from companion.lesson.phrases.melody import Sound, SpanMelody
from companion.lesson.phrases.surprise import Surprise

CHANGED_ON_BEAT = 0.08
CHANGED_OFF_BEAT = 0.15
OTHER_LENGTH = 0.15
OTHER_GRACENOTES = 0.25
"""The shares of notes that a variant changes: pitch on the beat, pitch off it, length, gracenotes."""

ONE_MORE = 0.05
"""The share of notes that a variant adds or leaves out."""

LEAVES_BITS = 3.0
"""Bits to say that a variant goes its own way at the end, and from where on: one in four does, at one of two places."""

MOST_NOTES = 48
"""Notes of a bar up to which bars are compared note by note: more than any bar that is played. Others are equal or
not."""

MOST_SOUNDS = 400
"""Different sounds of a tune up to which its bars are compared: pitch, length and gracenotes of any tune that is played
make a hundred or two."""

UNLIKE = -1000.0
"""The ratio of what is not to be compared."""

Content = tuple[int, ...]
"""A phrase by its bars, each by its rank among the different bars of the tune."""


class PairStep(enum.Enum):
    """What an alignment does next: pair two notes, or pass over one of either bar."""

    PAIR = enum.auto()
    HERE = enum.auto()
    THERE = enum.auto()


class Aligned(NamedTuple):
    """A place of an alignment: the rank of a note in each of two bars, None where that one has none."""

    here: int | None
    there: int | None


@dataclass(slots=True)
class Likenesses:
    """Compares the different bars of a tune and phrases made of them; what was compared is kept."""

    melodies: Sequence[SpanMelody]
    surprise: Surprise
    _bars: dict[tuple[int, int, bool], float] = field(default_factory=dict)
    _phrases: dict[tuple[Content, Content], float] = field(default_factory=dict)
    _ranks: tuple[tuple[int, ...], ...] = ()
    _pair_of: tuple[tuple[float, ...], ...] = ()

    def __post_init__(self) -> None:
        """Compare each different sound with each other one once: all else is sums of these."""
        ranks: dict[Sound, int] = {}
        self._ranks = tuple(
            tuple(ranks.setdefault(sound, len(ranks)) for sound in melody.sounds) for melody in self.melodies
        )
        if len(ranks) <= MOST_SOUNDS:
            self._pair_of = tuple(tuple(self._pair(our, their) for their in ranks) for our in ranks)

    def of_phrases(self, here: Content, there: Content) -> float:
        """The ratio of two phrases: changed here and there, or left by the first from the end of the other on."""
        if here == there:
            return sum(self.of_bars(each, each) for each in here)
        if len(here) != len(there):
            return UNLIKE
        key = here, there
        if key not in self._phrases:
            self._phrases[key] = max(self._changed(here, there), self._left(here, there) - LEAVES_BITS)
        return self._phrases[key]

    def _changed(self, here: Content, there: Content) -> float:
        return sum(self.of_bars(*pair) for pair in zip(here, there, strict=True))

    def _left(self, here: Content, there: Content) -> float:
        """All but the last bar, or but its second half. Of a single bar only the second half can be left."""
        before = self._changed(here[:-1], there[:-1])
        half = self.of_bars(here[-1], there[-1], halves=True)
        return before + (max(0.0, half) if len(here) > 1 else half)

    def of_bars(self, here: int, there: int, *, halves: bool = False) -> float:
        """The ratio of two bars, or of their first halves."""
        key = here, there, halves
        if key not in self._bars:
            ours, theirs = (self._sounds(each, halves=halves) for each in (here, there))
            if self._pair_of and ours == theirs:
                self._bars[key] = sum(self._pair_of[each][each] for each in ours)
            elif not self._pair_of or max(len(ours), len(theirs)) > MOST_NOTES:
                self._bars[key] = UNLIKE
            else:
                self._bars[key] = self._best(ours, theirs)
        return self._bars[key]

    def _sounds(self, rank: int, *, halves: bool) -> tuple[int, ...]:
        return self._ranks[rank][: self.melodies[rank].half] if halves else self._ranks[rank]

    def alignment(self, here: int, there: int) -> list[Aligned]:
        """Which note of a bar stands for which of the other, by the likeliest alignment."""
        ours, theirs = self._ranks[here], self._ranks[there]
        if not self._pair_of or max(len(ours), len(theirs)) > MOST_NOTES:
            return [Aligned(i, None) for i in range(len(ours))] + [Aligned(None, j) for j in range(len(theirs))]
        table = self._table(ours, theirs)
        found: list[Aligned] = []
        i, j = len(ours), len(theirs)
        while i or j:
            step = table[i][j][1]
            i, j = i - (step is not PairStep.THERE), j - (step is not PairStep.HERE)
            found.append(Aligned(i if step is not PairStep.THERE else None, j if step is not PairStep.HERE else None))
        return found[::-1]

    def _table(self, ours: Sequence[int], theirs: Sequence[int]) -> list[list[tuple[float, PairStep]]]:
        """For each pair of beginnings of two bars the best ratio and the step that led there."""
        gap = math.log2(ONE_MORE)
        table = [[(gap * j, PairStep.THERE) for j in range(len(theirs) + 1)]]
        for i, our in enumerate(ours, start=1):
            row = [(gap * i, PairStep.HERE)]
            for j, their in enumerate(theirs, start=1):
                paired = table[i - 1][j - 1][0] + self._pair_of[our][their]
                alone = table[i - 1][j][0] + gap
                passed = row[j - 1][0] + gap
                best = max(paired, alone, passed)
                step = PairStep.PAIR if best == paired else PairStep.HERE if best == alone else PairStep.THERE
                row.append((best, step))
            table.append(row)
        return table

    def _best(self, ours: Sequence[int], theirs: Sequence[int]) -> float:
        """The ratio of the likeliest alignment: what `_table` ends with, without the steps, in a third of the time."""
        gap = math.log2(ONE_MORE)
        above = [gap * j for j in range(len(theirs) + 1)]
        for i, our in enumerate(ours, start=1):
            reached = gap * i
            row = [reached]
            diagonal = above[0]
            pairs = self._pair_of[our]
            for their, up in zip(theirs, above[1:], strict=True):
                paired, alone = diagonal + pairs[their], (up if up > reached else reached) + gap
                reached = paired if paired > alone else alone
                row.append(reached)
                diagonal = up
            above = row
        return above[-1]

    def _pair(self, our: Sound, their: Sound) -> float:
        changed = CHANGED_ON_BEAT if our.on_beat and their.on_beat else CHANGED_OFF_BEAT
        bits = self.surprise
        return (
            _evidence(our.note is their.note, changed, bits.of_pitch(our))
            + _evidence(our.duration == their.duration, OTHER_LENGTH, bits.of_length(our))
            + _evidence(our.gracenotes == their.gracenotes, OTHER_GRACENOTES, bits.of_gracenotes(our))
        )


def _evidence(same: bool, changed: float, bits: float) -> float:
    """What it tells that something is the same, or that it was changed, as a share `changed` of such things are."""
    return math.log2(1 - changed) + bits if same else math.log2(changed)
