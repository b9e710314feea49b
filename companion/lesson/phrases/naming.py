"""Names phrases: the same bars the same name, what is made from an earlier phrase its letter with strokes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from string import ascii_uppercase

from companion.lesson.model.phrases import STROKE
from companion.lesson.phrases.alike import Content
from companion.lesson.phrases.bars_alike import RankedBars
from companion.lesson.phrases.cutting import MOST_BARS
from companion.lesson.phrases.melody import Sound

VARIANT_BITS = 8.0
"""How many bits likelier than not it must be that a phrase was made from one given earlier one: 1 in 250 by chance.

To that come the bits to say which earlier one, so that a long tune, where chance has more to try, names no more.
"""

MOSTLY = 2 / 3
FEW_IN_A_BAR = 1.5
"""A phrase with the lengths of an earlier one, most of its notes, and at most three others in two bars is a variant of
it whatever its notes tell: whoever learns it sees that. Of six notes two may differ; were it three, chance would do."""

SAME_RHYTHM_BITS = 4.0
"""How much a rhythm must tell for two phrases to be said to share it: one in sixteen phrases of the tune would."""


@dataclass(frozen=True, slots=True)
class Name:
    """A phrase's name. like: the rank among the tune's phrases of the earlier one that it is the same as, is made from,
    or, where it is new, has the rhythm of; None where it is like none. is_new: whether it has a letter of its own."""

    text: str
    like: int | None = None
    is_new: bool = False


@dataclass(slots=True)
class _Names:
    """The names given so far: of different contents, with the rank of the phrase that had it first."""

    bars: RankedBars
    given: dict[Content, tuple[str, int]] = field(default_factory=dict)
    strokes: Counter[str] = field(default_factory=Counter)
    letters: int = 0

    def name(self, rank: int, content: Content) -> Name:
        """The name of the next phrase."""
        if content in self.given:
            return Name(*self.given[content])
        source = self._made_from(content)
        if source is None:
            letter = letter_of(self.letters)
            self.letters += 1
            like = self._same_rhythm(content)
            self.given[content] = letter, rank
            return Name(letter, like, is_new=True)
        text, first = self.given[source]
        letter = text.rstrip(STROKE)
        self.strokes[letter] += 1
        self.given[content] = letter + STROKE * self.strokes[letter], rank
        return Name(self.given[content][0], first)

    def _made_from(self, content: Content) -> Content | None:
        """The earlier phrase that it is made from, the likeliest one; of equals the first."""
        if not self.given or len(self.bars.whole) > MOST_BARS:
            return None
        ratios = {each: self.bars.likenesses.of_phrases(content, each) for each in self.given}
        enough = VARIANT_BITS + math.log2(len(ratios))
        alike = {
            each: ratio for each, ratio in ratios.items() if ratio >= enough or self._differs_little(content, each)
        }
        return max(alike, key=lambda each: alike[each], default=None)

    def _differs_little(self, here: Content, there: Content) -> bool:
        """Whether two phrases have the same lengths, and all but a few of their notes."""
        if self._rhythm(here) != self._rhythm(there):
            return False
        ours, theirs = ([sound.note for sound in self._sounds(each)] for each in (here, there))
        changed = sum(our is not their for our, their in zip(ours, theirs, strict=True))
        return changed <= min(FEW_IN_A_BAR * len(here), (1 - MOSTLY) * len(ours))

    def _sounds(self, content: Content) -> list[Sound]:
        return [sound for rank in content for sound in self.bars.likenesses.melodies[rank].sounds]

    def _same_rhythm(self, content: Content) -> int | None:
        """The first phrase with the same lengths of notes throughout, if that says anything in this tune."""
        if len(self.bars.whole) > MOST_BARS:
            return None
        rhythms = [self._rhythm((each,)) for each in {*self.bars.whole}]
        usual = Counter(rhythms)
        told = sum(-math.log2(max(1, usual[self._rhythm((each,))]) / len(rhythms)) for each in content)
        if told < SAME_RHYTHM_BITS:
            return None
        wanted = self._rhythm(content)
        return next((rank for each, (_, rank) in self.given.items() if self._rhythm(each) == wanted), None)

    def _rhythm(self, content: Content) -> tuple[tuple[object, ...], ...]:
        melodies = self.bars.likenesses.melodies
        return tuple(tuple(sound.duration for sound in melodies[each].sounds) for each in content)


def name_phrases(contents: Sequence[Content], bars: RankedBars) -> tuple[Name, ...]:
    """The name of each phrase of a tune, by its content, in order."""
    names = _Names(bars)
    return tuple(names.name(rank, content) for rank, content in enumerate(contents))


def letter_of(rank: int) -> str:
    """The letter of the phrase with that rank: A to Z, then AA, AB, ..."""
    rest, last = divmod(rank, len(ascii_uppercase))
    return (letter_of(rest - 1) if rest else "") + ascii_uppercase[last]
