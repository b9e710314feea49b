"""Where a player puts the beat of an embellishment: learnt for each kind of embellishment as the player is heard."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from companion.listen.rhythm.heard import HeardUnit
from companion.listen.rhythm.pulse import Due
from companion.schedule.timing import Placement, Timing
from fingering.embellishments import Family

FIRST_ODDS = 2.5
"""How sure it is at first that a player follows a school, as a logarithm of odds: twelve to one."""

SINGLE_ODDS = 5.0
"""How sure it is at first of single gracenotes and strikes, which nearly all place alike; a logarithm of odds."""

SURE_ODDS = 4.0
"""From these odds on (a logarithm: fifty to one) only one custom is allowed for, below them both."""

CERTAIN_ODDS = 10.0
"""From these odds (a logarithm) on, a note is off its time even if the other custom would have it in time."""

MOST_ODDS = 12.0
MEMORY_NOTES = 60.0
"""Odds (a logarithm) never go beyond MOST_ODDS, so that a custom can be unlearnt; at each note they go back towards the
school's by one part in MEMORY_NOTES."""

MOST_SURPRISE = 4.5
"""A note tells no more against a custom than one that is three standard deviations off: it may be a fault."""


# Families that a player treats alike; all others are treated as one more.
_ALIKE = (
    frozenset({Family.SINGLE}),
    frozenset({Family.STRIKE}),
    frozenset({Family.GRIP, Family.TAORLUATH, Family.CRUNLUATH}),
    frozenset({Family.THROW}),
    frozenset({Family.BIRL}),
    frozenset({Family.DOUBLING, Family.HALF_DOUBLING, Family.THUMB_DOUBLING}),
)


def _kind(family: Family) -> int:
    return next((rank for rank, alike in enumerate(_ALIKE) if family in alike), len(_ALIKE))


def _school(before: Callable[[Family], bool]) -> dict[int, float]:
    """The odds, by kind, of one who follows a school in which such families end on the beat."""
    odds: dict[int, float] = {}
    for family in Family:
        sure = SINGLE_ODDS if family in {Family.SINGLE, Family.STRIKE} else FIRST_ODDS
        odds.setdefault(_kind(family), sure if before(family) else -sure)
    return odds


SCHOOLS = (
    _school(lambda family: Timing().placements.get(family) is Placement.BEFORE),
    _school(lambda family: False),
    _school(lambda family: True),
)
"""What players may have been taught: as pipers do; all on the beat; all before it. Common practice, no source."""


class Customs:
    """What is known of a player's customs: for each kind of embellishment, the odds that it ends on the beat."""

    def __init__(self, school: Mapping[int, float]) -> None:
        self._school = school
        self._odds = dict(school)

    def moments_s(self, unit: HeardUnit) -> tuple[float, ...]:
        """The moments that may have been meant as a note's beat, the likeliest first."""
        if unit.family is None or unit.group_s == unit.onset_s:
            return (unit.onset_s,)
        odds = self._odds[_kind(unit.family)]
        both = (unit.onset_s, unit.group_s) if odds > 0.0 else (unit.group_s, unit.onset_s)
        return both[:1] if abs(odds) >= SURE_ODDS else both

    def sure(self, unit: HeardUnit) -> bool:
        """Whether the custom for a note's embellishment is known beyond doubt."""
        return unit.family is None or abs(self._odds[_kind(unit.family)]) >= CERTAIN_ODDS

    def beat(self, unit: HeardUnit) -> tuple[float, float]:
        """The moment of a note's beat, weighed, and its standard deviation, in s."""
        length_s = unit.onset_s - unit.group_s
        if not unit.plain:
            return unit.onset_s - 0.5 * length_s, 0.5 * length_s
        if unit.family is None:
            return unit.onset_s, 0.0
        before = 1.0 / (1.0 + math.exp(-self._odds[_kind(unit.family)]))
        return unit.group_s + before * length_s, math.sqrt(before * (1.0 - before)) * length_s

    def learn(self, unit: HeardUnit, due: Due) -> None:
        """Take in what a note, played as asked, tells of the custom for its embellishment."""
        if unit.family is None or not unit.plain:
            return
        on, before = (
            min(0.5 * ((moment_s - due.at_s) / due.spread_s) ** 2, MOST_SURPRISE)
            for moment_s in (unit.group_s, unit.onset_s)
        )
        kind = _kind(unit.family)
        odds = self._odds[kind] + (self._school[kind] - self._odds[kind]) / MEMORY_NOTES + on - before
        self._odds[kind] = min(max(odds, -MOST_ODDS), MOST_ODDS)
