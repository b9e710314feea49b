"""The foot: the time of two notes or of three, in which the notes of a pipe tune are counted, and how they divide it.

A foot of two is a crotchet where a beat has one, half a beat in a march in 2/4 or a reel in C|; a foot of three is a
beat of a jig. Places in a foot and lengths are counted in twelfths of it, ticks.
"""

from __future__ import annotations

import enum
import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

TICKS = 12
Step = tuple[int, int]
"""Where in its foot a note begins, and how long it is."""

# How unlikely each length is at its place, as negative logarithms: what is common in pipe music, no source. What is
# learnt of a take goes over these.
_OF_TWO = {
    0: {12: 0.7, 6: 0.9, 9: 0.7, 3: 1.7, 24: 1.7, 18: 2.0, 36: 3.0, 48: 3.0, 4: 3.2, 8: 6.5, 21: 6.0, 30: 5.0, 42: 5.5, 72: 6, 96: 5.0},  # noqa: E501
    6: {6: 0.2, 3: 2.5, 18: 3.5, 12: 4.0, 30: 5.0, 9: 6.0},
    9: {3: 0.1, 15: 4.5, 27: 6.0},
    3: {9: 0.3, 3: 1.8, 6: 5.0, 21: 6.0},
    4: {4: 0.1, 8: 3.5},
    8: {4: 0.1, 16: 6.0},
}  # fmt: skip
_OF_THREE = {
    0: {4: 0.9, 8: 1.0, 12: 0.9, 6: 1.0, 2: 2.8, 24: 2.0, 10: 5.0, 16: 5.0, 20: 2.7, 36: 3.5, 32: 4.0, 48: 4.5, 44: 5},
    4: {4: 0.2, 8: 1.8, 6: 3.0, 2: 3.0, 20: 5.0, 12: 6.0},
    8: {4: 0.1, 2: 2.5, 6: 6.0, 16: 5.0, 12: 5.5},
    6: {2: 0.1, 6: 3.5, 4: 5.0, 14: 6.0},
    2: {2: 2.0, 6: 1.0, 10: 3.0},
    10: {2: 0.1, 6: 6.0, 14: 6.0},
}  # fmt: skip

JOINED = 6.0
"""What it costs that the gracenote between two equal notes was missed out or not heard, so that they are one: one note
in four hundred. Common practice, no source."""

DEAREST_JOINED = 10.0
"""Lengths that are seldom met are not joined: those cost more than this."""

_STARTS_OF_TWO = {0: 0.4, 6: 1.4, 9: 2.2, 3: 4.0}
_STARTS_OF_THREE = {0: 0.4, 8: 1.2, 4: 2.5, 10: 2.5, 6: 3.5}

_WORTH = 12.0
"""How many notes of a take weigh as much as what is common."""


class FootKind(enum.Enum):
    """Whether a foot has the time of two notes or of three."""

    TWO = 2
    THREE = 3


@dataclass(frozen=True, slots=True)
class FootHabits:
    """How notes divide a foot: the cost of each step, of each place to begin a take at, and the feet a minute."""

    kind: FootKind
    steps: Mapping[Step, float]
    starts: Mapping[int, float]
    feet_a_minute: tuple[float, float]

    def learnt(self, steps: Iterable[Step]) -> FootHabits:
        """Return the habits of one who took these steps."""
        counted = Counter(steps)
        at = Counter({place: 0 for place, _ in self.steps})
        common = dict.fromkeys((place for place, _ in self.steps), 0.0)
        for (place, length), cost in self.steps.items():
            at[place] += counted[place, length]
            common[place] += math.exp(-cost)
        learnt = {
            (place, length): -math.log(
                (counted[place, length] + _WORTH * math.exp(-cost) / common[place]) / (at[place] + _WORTH)
            )
            for (place, length), cost in self.steps.items()
        }
        return FootHabits(self.kind, MappingProxyType(learnt), self.starts, self.feet_a_minute)


def _flat(table: Mapping[int, Mapping[int, float]]) -> Mapping[Step, float]:
    steps = {(at, length): cost for at, row in table.items() for length, cost in row.items()}
    return MappingProxyType(_joined(steps) | steps)


def _joined(steps: Mapping[Step, float]) -> dict[Step, float]:
    """The steps of two equal notes that sound as one, for want of the gracenote between them, and what they cost: as
    long as some note is."""
    lengths = {length for _, length in steps}
    found: dict[Step, float] = {}
    for (at, first), cost in steps.items():
        for second in (length for place, length in steps if place == (at + first) % TICKS):
            step, both = (at, first + second), JOINED + cost + steps[(at + first) % TICKS, second]
            if first + second in lengths and both < found.get(step, DEAREST_JOINED):
                found[step] = both
    return found


FEET_OF_TWO = FootHabits(FootKind.TWO, _flat(_OF_TWO), MappingProxyType(_STARTS_OF_TWO), (18.0, 220.0))
FEET_OF_THREE = FootHabits(FootKind.THREE, _flat(_OF_THREE), MappingProxyType(_STARTS_OF_THREE), (38.0, 125.0))


AS_WRITTEN = 3.0
"""The ratio of a dotted pair as it is written."""


def played_places(kind: FootKind, pointing: float) -> tuple[float, ...]:
    """Return where in a foot, in ticks, each of its places is when pairs written 3:1 are played in another ratio."""
    whole = TICKS if kind is FootKind.TWO else 2 * TICKS // 3
    long, short = whole * pointing / (1.0 + pointing), whole / (1.0 + pointing)
    places = [float(place) for place in range(TICKS)]
    if kind is FootKind.TWO:
        places[9], places[3] = long, short
    else:
        places[6], places[2], places[10] = long, short, TICKS - whole + long
    return tuple(places)


def pointing_of(kind: FootKind, place: int, ticks: float) -> float | None:
    """Return the ratio in which a pair was played whose second note, written at `place`, came at this tick; None where
    that place belongs to no pair of 3:1."""
    whole = TICKS if kind is FootKind.TWO else 2 * TICKS // 3
    if place in ((9,) if kind is FootKind.TWO else (6,)):
        return ticks / (whole - ticks) if 0.0 < ticks < whole else None
    if place in ((3,) if kind is FootKind.TWO else (2,)):
        return (whole - ticks) / ticks if 0.0 < ticks < whole else None
    return None
