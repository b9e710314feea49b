"""Tunes whose plan is known, and how much of a plan was found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from companion.lesson.model.phrases import TunePlan
from companion.lesson.phrases import plan_of
from companion.score.abc import read_abc_text
from companion.score.model import Tune

Named = tuple[str, int, int]
"""A phrase: its name, and the indices in `Tune.bars` of its first bar and of the bar after it."""


@dataclass(frozen=True, slots=True)
class PlannedTune:
    """A tune as ABC, and the phrases that it was made of."""

    abc: str
    phrases: tuple[Named, ...]

    @property
    def tune(self) -> Tune:
        """The tune, read."""
        return read_abc_text(self.abc).tunes[0]


def named(plan: TunePlan) -> tuple[Named, ...]:
    """The phrases of a plan by name and bars."""
    return tuple((phrase.name, phrase.first, phrase.stop) for phrase in plan.phrases)


def hits(wanted: Sequence[Named], got: Sequence[Named]) -> int:
    """How many of the phrases that were wanted were found with the same bars and the same name."""
    return len(set(wanted) & set(got))


def share_found(tunes: Iterable[PlannedTune]) -> float:
    """The share of all phrases of these tunes that are found."""
    counts = [(hits(each.phrases, named(plan_of(each.tune))), len(each.phrases)) for each in tunes]
    return sum(found for found, _ in counts) / sum(wanted for _, wanted in counts)
