"""Gathers everything known of a crossing in one value, and computes all 72 ordered pairs of notes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

from fingering.crossings.difficulty import GOOD_SPREAD_MS, difficulty
from fingering.crossings.hardness import Hardness, hardness
from fingering.crossings.orders import clean_order_count
from fingering.crossings.passing import Passing, PassingKind, passings
from fingering.crossings.teaching import TaughtOrder, teach
from fingering.crossings.transition import Transition
from fingering.notes import HARMONIC, Note, Tuning


@dataclass(frozen=True, slots=True)
class Crossing:
    """A transition with its analysis.

    passings: the states of its lattice, both ends included, and what they sound. difficulty: the chance, 0 to 1, that a
    foreign note is heard (see `difficulty`). hardness: what the hands find hard in it, and the likeliest noise.
    """

    transition: Transition
    passings: tuple[Passing, ...]
    order_count: int
    clean_order_count: int
    lesson: TaughtOrder
    difficulty: float
    hardness: Hardness

    @property
    def foreign(self) -> tuple[Passing, ...]:
        """The states on the way that sound a foreign note."""
        return tuple(passing for passing in self.passings if passing.kind is PassingKind.FOREIGN)


def analyse(transition: Transition, tuning: Tuning = HARMONIC, *, spread_ms: float = GOOD_SPREAD_MS) -> Crossing:
    """Analyse one transition. Raises UserError for a spread out of reach."""
    return Crossing(
        transition,
        passings(transition, tuning),
        transition.order_count,
        clean_order_count(transition, tuning),
        teach(transition, tuning),
        difficulty(transition, tuning, spread_ms=spread_ms),
        hardness(transition, tuning),
    )


def all_pairs(tuning: Tuning = HARMONIC, *, spread_ms: float = GOOD_SPREAD_MS) -> dict[tuple[Note, Note], Crossing]:
    """Every ordered pair of different notes, analysed. Raises UserError for a spread out of reach."""
    return {pair: analyse(Transition.between(*pair), tuning, spread_ms=spread_ms) for pair in permutations(Note, 2)}
