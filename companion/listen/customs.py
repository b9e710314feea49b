"""Where players put the beat of an embellishment: several customs, each followed by a pulse of its own."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import combinations

from companion.listen.pulse import OUTLIER, Due, Metronome, Pulse
from companion.schedule.timing import Placement, Timing
from fingering.embellishments import Family

FORESIGHT_NOTES = 60.0
"""How many notes back it counts how well a custom foresaw the beat."""

PLAUSIBLE = 7.0
"""A custom is out of the question when another foresaw the beats so much better: odds of one to a thousand."""

Custom = Callable[[Family], Placement]


# Families that a player treats alike. Single gracenotes begin on the beat whoever plays, or nobody could tell it.
_ALIKE = (
    frozenset({Family.GRIP, Family.TAORLUATH, Family.CRUNLUATH}),
    frozenset({Family.THROW}),
    frozenset(Family) - {Family.SINGLE, Family.THROW, Family.GRIP, Family.TAORLUATH, Family.CRUNLUATH},
)


def _custom(before: frozenset[Family]) -> Custom:
    """These families end on the beat, all others begin on it."""
    places = {family: Placement.BEFORE if family in before else Placement.ON for family in Family}
    return places.__getitem__


def _customs() -> tuple[Custom, ...]:
    """As pipers do first; then every choice for the families that go together; last, everything before the beat."""
    usual = frozenset(family for family, place in Timing().placements.items() if place is Placement.BEFORE)
    mixed = (frozenset().union(*chosen) for count in range(len(_ALIKE) + 1) for chosen in combinations(_ALIKE, count))
    others = dict.fromkeys((*mixed, frozenset(Family)))
    others.pop(usual, None)
    return tuple(map(_custom, (usual, *others)))


CUSTOMS = _customs()
"""The first is the likeliest. The one that foresees best is believed."""


@dataclass(frozen=True, slots=True)
class HeardUnit:
    """A melody note as it began: its first gracenote at `group_s`, itself at `onset_s`.

    family: of its embellishment, None without one. plain: whether it was played as asked; otherwise either moment may
    have been meant as its beat. apart: whether what came before tells nothing about when it was due.
    """

    played: int
    group_s: float
    onset_s: float
    family: Family | None
    plain: bool
    apart: bool

    def moment_s(self, custom: Custom, due_s: float | None = None) -> float:
        """The moment meant as the beat; where something was amiss, whatever is nearest to when it was due."""
        if due_s is not None and not self.plain:
            return self.nearest_s(due_s)
        if self.family is None:
            return self.onset_s
        return self.onset_s if custom(self.family) is Placement.BEFORE else self.group_s

    def nearest_s(self, due_s: float) -> float:
        """What of it was nearest to a moment."""
        return min(max(due_s, self.group_s), self.onset_s)


@dataclass(frozen=True, slots=True)
class Beat:
    """When a melody note was taken to have its beat, and when it was due; `off` tells whether it was far off."""

    played: int
    onset_s: float
    at_s: float
    due: Due | None
    off: bool


@dataclass(slots=True)
class Follower:
    """A pulse that hears beats by one custom, how much they surprised it lately (a negative log-likelihood), and the
    last three of them."""

    custom: Custom
    pulse: Pulse | Metronome
    surprise: float = 0.0
    recent: deque[Beat] = field(default_factory=lambda: deque(maxlen=3))

    def beat(self, unit: HeardUnit, place_s: float, length_s: float, limit: tuple[float, float]) -> Beat:
        """When a note had its beat, and whether that was off its time. limit: seconds, and standard deviations."""
        if not self.pulse.running:
            return Beat(unit.played, unit.onset_s, unit.moment_s(self.custom), None, False)
        due = self.pulse.due(place_s, length_s)
        limit_s = max(limit[0], limit[1] * due.spread_s)
        at_s = unit.moment_s(self.custom, due.at_s)
        off = abs(at_s - due.at_s) >= limit_s and abs(unit.nearest_s(due.at_s) - due.at_s) >= 0.5 * limit_s
        rival_s = self.pulse.rival_due_s(place_s)
        if off and rival_s is not None:
            off = abs(unit.moment_s(self.custom, rival_s) - rival_s) >= limit_s
        return Beat(unit.played, unit.onset_s, at_s, due, off)

    def hear(self, unit: HeardUnit, beat: Beat, place_s: float, length_s: float) -> None:
        """Take in a note with its beat."""
        if beat.due is not None and unit.plain:
            strays = min(abs(beat.at_s - beat.due.at_s) / beat.due.spread_s, OUTLIER)
            self.surprise += 0.5 * strays**2 + math.log(beat.due.spread_s) - self.surprise / FORESIGHT_NOTES
        unsure_s = 0.0 if unit.plain else 0.5 * (unit.onset_s - unit.group_s)
        self.pulse.heard(place_s, length_s, beat.at_s, unsure_s=unsure_s)
        if unit.apart:
            self.recent.clear()
        self.recent.append(beat)

    def cut(self) -> None:
        """What follows stands on its own."""
        self.pulse.cut()
        self.recent.clear()


def plausible(followers: list[Follower]) -> list[Follower]:
    """The followers that may be right, the best first."""
    ranked = sorted(followers, key=lambda follower: follower.surprise)
    return [each for each in ranked if each.surprise <= ranked[0].surprise + PLAUSIBLE]
