"""Where a player puts the beat of an embellishment: learnt for each kind of embellishment as the player is heard.

It may lie at the beginning of its gracenotes, at their end, which is the melody note, or in the middle between.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cache

from companion.listen.rhythm.heard import HeardUnit
from companion.listen.rhythm.pulse import Due
from companion.schedule.timing import Placement, Timing
from fingering.embellishments import Family

SHARES = (0.0, 0.5, 1.0)
"""Where the beat may lie, as shares of the time that the gracenotes take."""

MIDDLE_ODDS = 5.0
"""How unlikely it is at first that a player puts the beat in the middle, as a logarithm of odds: it is taught to be on
either end (common practice, no source)."""

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
    frozenset({Family.GRIP}),
    frozenset({Family.TAORLUATH, Family.CRUNLUATH}),
    frozenset({Family.THROW}),
    frozenset({Family.BIRL}),
    frozenset({Family.DOUBLING, Family.HALF_DOUBLING, Family.THUMB_DOUBLING}),
)


@cache
def _kind(family: Family, *, simple: bool = True) -> int:
    """Return the kind of an embellishment; a strike after other gracenotes is of another kind than one alone."""
    kind = next((rank for rank, alike in enumerate(_ALIKE) if family in alike), len(_ALIKE))
    return len(_ALIKE) + 1 if family is Family.STRIKE and not simple else kind


Odds = tuple[float, ...]
"""For each of SHARES a logarithm of odds against the likeliest, which has 0."""


def _school(before: Callable[[Family], bool]) -> dict[int, Odds]:
    """The odds, by kind, of one who follows a school in which such families end on the beat."""
    odds: dict[int, Odds] = {}
    for family in Family:
        sure = SINGLE_ODDS if family in {Family.SINGLE, Family.STRIKE} else FIRST_ODDS
        on, end = (-sure, 0.0) if before(family) else (0.0, -sure)
        odds.setdefault(_kind(family), (on, -MIDDLE_ODDS, end))
    odds[_kind(Family.STRIKE, simple=False)] = odds[_kind(Family.DOUBLING)]
    return odds


SCHOOLS = (
    _school(lambda family: Timing().placements.get(family) is Placement.BEFORE),
    _school(lambda family: False),
    _school(lambda family: True),
)
"""What players may have been taught: as pipers do; all on the beat; all before it. Common practice, no source."""


class Customs:
    """What is known of a player's customs: for each kind of embellishment, the odds of where its beat lies."""

    def __init__(self, school: Mapping[int, Odds]) -> None:
        self._school = school
        self._odds = dict(school)

    def moments_s(self, unit: HeardUnit) -> tuple[float, ...]:
        """The moments that may have been meant as a note's beat, the likeliest first."""
        if unit.family is None or unit.group_s == unit.onset_s:
            return (unit.onset_s,)
        odds = self._odds[_kind(unit.family, simple=unit.simple)]
        likely = sorted((each for each in zip(odds, SHARES, strict=True) if each[0] > -SURE_ODDS), reverse=True)
        return tuple(_at_s(unit, share) for _, share in likely)

    def sure(self, unit: HeardUnit) -> bool:
        """Whether the custom for a note's embellishment is known beyond doubt."""
        return unit.family is None or sorted(self._odds[_kind(unit.family, simple=unit.simple)])[-2] <= -CERTAIN_ODDS

    def beat(self, unit: HeardUnit) -> tuple[float, float]:
        """The moment of a note's beat, weighed, and its standard deviation, in s."""
        length_s = unit.onset_s - unit.group_s
        if not unit.plain:
            return unit.onset_s - 0.5 * length_s, 0.5 * length_s
        if unit.family is None:
            return unit.onset_s, 0.0
        weights = [math.exp(each) for each in self._odds[_kind(unit.family, simple=unit.simple)]]
        total = sum(weights)
        mean = sum(weight * share for weight, share in zip(weights, SHARES, strict=True)) / total
        square = sum(weight * (share - mean) ** 2 for weight, share in zip(weights, SHARES, strict=True)) / total
        return unit.group_s + mean * length_s, math.sqrt(square) * length_s

    def learn(self, unit: HeardUnit, due: Due) -> None:
        """Take in what a note, played as asked, tells of the custom for its embellishment."""
        if unit.family is None or not unit.plain:
            return
        kind = _kind(unit.family, simple=unit.simple)
        told = [
            odds + (first - odds) / MEMORY_NOTES - _surprise(_at_s(unit, share), due)
            for odds, first, share in zip(self._odds[kind], self._school[kind], SHARES, strict=True)
        ]
        most = max(told)
        self._odds[kind] = tuple(max(each - most, -MOST_ODDS) for each in told)


def _at_s(unit: HeardUnit, share: float) -> float:
    if share == 1.0:
        return unit.onset_s  # exactly
    return unit.group_s + share * (unit.onset_s - unit.group_s)


def _surprise(at_s: float, due: Due) -> float:
    return min(0.5 * ((at_s - due.at_s) / due.spread_s) ** 2, MOST_SURPRISE)
