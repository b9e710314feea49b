"""Where a player puts the beat of an embellishment: learnt for each kind of embellishment as the player is heard.

It may lie at the beginning of its gracenotes, at their end, which is the melody note, or in the middle between.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from typing import NamedTuple

from companion.listen.rhythm.heard import HeardUnit, kind_of
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

SAME_SHARE = 0.01
"""Beats that lie no further apart than this share of the time that the gracenotes take are the same: of a crunluath
that is 3 ms, and two sounds are heard as two from 2 to 3 ms on (Hirsh 1959, through Watson 2004)."""

MOST_SURPRISE = 4.5
"""A note tells no more against a custom than one that is three standard deviations off: it may be a fault."""


Odds = tuple[float, ...]
"""For each of SHARES a logarithm of odds against the likeliest, which has 0."""


School = Mapping[int, Odds]
"""The odds of where a player of one school puts the beat of each kind of embellishment."""


def _school(before: Callable[[Family], bool]) -> dict[int, Odds]:
    """The odds, by kind, of one who follows a school in which such families end on the beat."""
    odds: dict[int, Odds] = {}
    for family in Family:
        sure = SINGLE_ODDS if family in {Family.SINGLE, Family.STRIKE} else FIRST_ODDS
        on, end = (-sure, 0.0) if before(family) else (0.0, -sure)
        odds.setdefault(kind_of(family), (on, -MIDDLE_ODDS, end))
    odds[kind_of(Family.STRIKE, simple=False)] = odds[kind_of(Family.DOUBLING)]
    return odds


SCHOOLS = (
    _school(lambda family: Timing().placements.get(family) is Placement.BEFORE),
    _school(lambda family: False),
    _school(lambda family: True),
)
"""What players may have been taught: as pipers do; all on the beat; all before it. Common practice, no source."""


class _Custom(NamedTuple):
    """What is known of where the beat of one kind of embellishment lies, and what follows from it for every note until
    more is learnt, as shares of the time that the gracenotes take.

    mean, spread: the beat, weighed, and its standard deviation. likely: where it may lie, the likeliest first. is_sure:
    whether that is known beyond doubt.
    """

    odds: Odds
    mean: float
    spread: float
    likely: tuple[float, ...]
    is_sure: bool

    def is_like(self, other: _Custom) -> bool:
        """Whether both put the beat at the same moments, as far as can be heard."""
        same = (self.likely, self.is_sure) == (other.likely, other.is_sure)
        return same and max(abs(self.mean - other.mean), abs(self.spread - other.spread)) < SAME_SHARE


def _custom(odds: Odds) -> _Custom:
    weights = [math.exp(each) for each in odds]
    (begin, middle, end), total = weights, sum(weights)
    mean = (0.5 * middle + end) / total
    square = (begin * mean**2 + middle * (0.5 - mean) ** 2 + end * (1.0 - mean) ** 2) / total
    likely = [each for each in zip(odds, SHARES, strict=True) if each[0] > -SURE_ODDS]
    shares = tuple([share for _, share in sorted(likely, reverse=True)])
    return _Custom(odds, mean, math.sqrt(square), shares, sorted(odds)[-2] <= -CERTAIN_ODDS)


class Customs:
    """What is known of a player's customs: for each kind of embellishment, the odds of where its beat lies."""

    def __init__(self, school: School) -> None:
        self._school = school
        self._customs = {kind: _custom(odds) for kind, odds in school.items()}

    def of_school(self, school: School, kind: int) -> Customs:
        """Return the same customs of a player who may also be of that school, as far as a kind shows it that was not
        heard so far."""
        other = Customs(school)
        other._customs = {**self._customs, kind: other._customs[kind]}
        return other

    def is_like(self, other: Customs, kinds: Collection[int]) -> bool:
        """Whether both put the beats of these kinds at the same moments, as far as can be heard."""
        return all(self._customs[kind].is_like(other._customs[kind]) for kind in kinds)

    def moments_s(self, unit: HeardUnit) -> tuple[float, ...]:
        """The moments that may have been meant as a note's beat, the likeliest first."""
        if unit.kind is None or unit.group_s == unit.onset_s:
            return (unit.onset_s,)
        return tuple([_at_s(unit, share) for share in self._customs[unit.kind].likely])

    def sure(self, unit: HeardUnit) -> bool:
        """Whether the custom for a note's embellishment is known beyond doubt."""
        return unit.kind is None or self._customs[unit.kind].is_sure

    def beat(self, unit: HeardUnit) -> tuple[float, float]:
        """The moment of a note's beat, weighed, and its standard deviation, in s."""
        if not unit.plain:
            length_s = unit.onset_s - unit.group_s
            return unit.onset_s - 0.5 * length_s, 0.5 * length_s
        if unit.kind is None:
            return unit.onset_s, 0.0
        custom, length_s = self._customs[unit.kind], unit.onset_s - unit.group_s
        return unit.group_s + custom.mean * length_s, custom.spread * length_s

    def learn(self, unit: HeardUnit, due: Due) -> None:
        """Take in what a note, played as asked, tells of the custom for its embellishment."""
        if unit.kind is None or not unit.plain:
            return
        known, (_, begins_s, ends_s, *_), (due_s, _, _, spread_s, _) = self._customs[unit.kind], unit, due
        told: list[float] = []
        at_s = (begins_s, begins_s + 0.5 * (ends_s - begins_s), ends_s)
        for before, first, moment_s in zip(known.odds, self._school[unit.kind], at_s, strict=True):
            surprise = 0.5 * ((moment_s - due_s) / spread_s) ** 2
            told.append(before + (first - before) / MEMORY_NOTES - min(surprise, MOST_SURPRISE))
        most = max(told)
        odds = tuple([max(each - most, -MOST_ODDS) for each in told])
        if odds != known.odds:  # of a player known well they are at MOST_ODDS, and stay there
            self._customs[unit.kind] = _custom(odds)


def _at_s(unit: HeardUnit, share: float) -> float:
    if share == 1.0:
        return unit.onset_s  # exactly
    return unit.group_s + share * (unit.onset_s - unit.group_s)
