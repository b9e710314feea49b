"""The habits of one player's gracenotes: how often fingers cross with a noise, and which embellishments are played."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from companion.notate.pulse.approached import Approached
from fingering.embellishments import Family

# Shares: common practice, no source; checked by `tests.learners`.
NOISE_SHARE = 0.11
"""The share of melody notes before which a learner's fingers sound a crossing noise."""

USUAL_SHARE, SELDOM_SHARE = 0.125, 0.02
"""The share of one family in all embellishments of several gracenotes: of a usual one, and of one that is seldom met in
light music."""

SELDOM_FAMILIES = frozenset(
    {
        Family.DOUBLE_STRIKE,
        Family.TRIPLE_STRIKE,
        Family.SHAKE,
        Family.CATCH,
        Family.EDRE,
        Family.DARODO,
        Family.CADENCE,
        Family.CUTTING,
    }
)

_WORTH = 12.0
"""How many notes or embellishments of a take weigh as much as what is common."""


@dataclass(frozen=True, slots=True)
class GraceHabits:
    """The costs of a short note as a crossing noise, and of an embellishment as of a family (what is not told costs
    nothing), as negative logarithms."""

    noise: float
    families: Mapping[Family, float]

    def of_family(self, family: Family | None) -> float:
        """Return what it costs that an embellishment is of this family."""
        return 0.0 if family is None else self.families.get(family, 0.0)


def habits_of(ways: Collection[Approached]) -> GraceHabits:
    """Return the habits of one who reached notes of melody in these ways; of nobody, the usual ones."""
    noises = sum(bool(way.noises) for way in ways)
    noise = -math.log((noises + _WORTH * NOISE_SHARE) / (len(ways) + _WORTH))
    played = Counter(way.family for way in ways if len(way.graces) > 1 and way.family is not None)
    groups = sum(played.values())
    shares = {
        family: (played[family] + _WORTH * (SELDOM_SHARE if family in SELDOM_FAMILIES else USUAL_SHARE))
        / (groups + _WORTH)
        for family in Family
        if family not in (Family.SINGLE, Family.UNNAMED)
    }
    costs: dict[Family, float] = {family: max(0.0, math.log(USUAL_SHARE / share)) for family, share in shares.items()}
    return GraceHabits(noise, MappingProxyType(costs))


USUAL_GRACING = habits_of(())
