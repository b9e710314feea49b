"""The phrases of a tune, and its plan: what each phrase is to those before it."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from companion.score.model import Phrase, Tune

STROKE = "'"
"""What the name of a phrase that was made from another has for each such phrase so far."""


class PhraseEnd(enum.Enum):
    """How a phrase ends: as a question that leaves the tune open, or at home, where it could stop."""

    OPEN = "open"
    HOME = "home"


class Likeness(enum.Enum):
    """What a phrase has in common with an earlier one."""

    SAME = "the same"
    OTHER_GRACENOTES = "the same melody, other gracenotes"
    OTHER_POINTING = "the same notes, pointed otherwise"
    OTHER_ENDING = "the same but for its ending"
    FEW_NOTES = "the same but for a few notes"
    SAME_RHYTHM = "the same rhythm, other notes"


@dataclass(frozen=True, slots=True)
class PhraseDifference:
    """Where a phrase differs from the one that it is like.

    bar: the number of its bar; like_bar: of the other phrase's bar. here, there: what each of them has in that place,
    in words ("B, doubling on C"; "nothing"). notes: the ranks of the written notes that differ, of both phrases, which
    a picture can mark.
    """

    bar: int
    like_bar: int
    here: str
    there: str
    notes: tuple[int, ...] = ()

    @property
    def words(self) -> str:
        """The difference as a sentence without its stop: "bar 7 has B where bar 3 has C"."""
        return f"bar {self.bar} has {self.here} where bar {self.like_bar} has {self.there}"


@dataclass(frozen=True, slots=True)
class FoundPhrase:
    """Bars first to stop - 1 of a tune, as indices of `Tune.bars`.

    name: "A", "A'", "B", ...: phrases of the same bars share it, one that is made from an earlier one has its letter
    with strokes. Pick-ups and later endings do not count for the name. like: the name of the phrase that it is like, ""
    where it is like none. likeness: how; None where it is like none. A phrase that has no more than its rhythm from an
    earlier one (SAME_RHYTHM) is new: it has a letter of its own, and no differences are told. differences: from the
    first phrase that is named `like`.
    """

    name: str
    first: int
    stop: int
    end: PhraseEnd
    like: str = ""
    likeness: Likeness | None = None
    differences: tuple[PhraseDifference, ...] = ()

    @property
    def bars(self) -> range:
        """Its bars, as indices of `Tune.bars`."""
        return range(self.first, self.stop)

    @property
    def is_home(self) -> bool:
        """Whether the tune could stop with it."""
        return self.end is PhraseEnd.HOME

    @property
    def is_variant(self) -> bool:
        """Whether it was made from an earlier phrase, and differs from it: its name has strokes."""
        return self.name.endswith(STROKE)

    def numbers(self, tune: Tune) -> tuple[int, int]:
        """The numbers of its first and last bar, as `Bar.number`."""
        return tune.bars[self.first].number, tune.bars[self.stop - 1].number


@dataclass(frozen=True, slots=True)
class TunePlan:
    """A tune taken apart: its phrases in written order, without holes or overlaps.

    parts: for each part of the tune the indices of its phrases, as a range of `phrases`.
    """

    phrases: tuple[FoundPhrase, ...]
    parts: tuple[range, ...]

    @property
    def line(self) -> str:
        """The plan on one line: "A A' B A''"."""
        return " ".join(phrase.name for phrase in self.phrases)

    def as_phrases(self, part: int) -> tuple[Phrase, ...]:
        """The phrases of a part as `companion.score` has them, with which the playing screen repeats them."""
        return tuple(Phrase(each.first, each.stop, each.name) for each in (self.phrases[i] for i in self.parts[part]))
