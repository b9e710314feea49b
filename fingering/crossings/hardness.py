"""Weighs what hands find hard in a transition, so that movements can be ranked: each demand with its reason in words.

What a listener hears of it, the crossing noise, is one of the demands; the others are the hands' own.
"""

from __future__ import annotations

import enum
from collections.abc import Iterator
from dataclasses import dataclass

from fingering.crossings.noise import WHOLE_UPPER_HAND, LikelyNoise, NoiseKind, likely_noises
from fingering.crossings.teaching import LOWER_HAND
from fingering.crossings.transition import Transition
from fingering.holes import Finger
from fingering.notes import HARMONIC, Tuning

RING_FINGERS = (Finger.UPPER_RING, Finger.LOWER_RING)


class Hard(enum.Enum):
    """What makes a movement hard."""

    NOISE = "noise"
    BOTH_WAYS = "both ways"
    BOTH_HANDS = "both hands"
    THUMB = "thumb"
    RING_FINGERS = "ring fingers"
    FINGERS = "fingers"


# Why each is hard. From the trade's facts on crossing noises; where nothing else is said, common practice, no source.
WHY = {
    Hard.NOISE: "a note flashes when the fingers do not move together",
    Hard.BOTH_WAYS: "fingers that close want to be down before those that open are up",
    Hard.BOTH_HANDS: "the two hands come apart more easily than fingers of one hand",
    Hard.THUMB: "the thumb moves behind the chanter, unseen, and holds it as well",
    # Hager-Ross & Schieber 2000, on the independence of human fingers; from memory.
    Hard.RING_FINGERS: "the ring finger is the least free of all fingers",
    Hard.FINGERS: "each finger more is one more that can be late",
}

# How much each weighs. Only the order of movements comes of it. Choices, no source, each by the reason beside it.
NOISE_WEIGHTS = {  # opening a hair early is the lesser evil: what is heard then is no lower note (teachers ask for it)
    NoiseKind.LOWER: 3.0,
    NoiseKind.BETWEEN: 2.0,
    NoiseKind.VEIL: 1.0,  # soft and dull, so heard least
}
BOTH_WAYS_WEIGHT = 2.0  # as much as a noise: the fingers must not only meet, but meet in the right order
BOTH_HANDS_WEIGHT = 2.0  # the same, since nothing but practice ties the hands together
THUMB_WEIGHT = 1.0
RING_FINGERS_WEIGHT = 1.0  # half of what two hands weigh: it is slow, yet one finger
FINGER_WEIGHT = 0.5  # of each finger beyond the first: fingers of one hand help each other


class HardnessLevel(enum.IntEnum):
    """How hard a movement is, in four steps. The integer is the step, 1 to 4."""

    EASY = 1
    FAIR = 2
    HARD = 3
    VERY_HARD = 4

    @property
    def label(self) -> str:
        """The word that people read."""
        return self.name.lower().replace("_", " ")


# From which sum of weights on a movement is of each level. Choices, no source, made so that one finger is easy; fingers
# of one hand that all open or all close are fair; of one hand both ways, or of both hands one way, mostly hard; of both
# hands both ways, with a note below them, very hard.
LEVELS_FROM = (
    (9.0, HardnessLevel.VERY_HARD),
    (6.0, HardnessLevel.HARD),
    (2.5, HardnessLevel.FAIR),
    (0.0, HardnessLevel.EASY),
)


@dataclass(frozen=True, slots=True)
class Demand:
    """One thing that makes a movement hard: how much it weighs, in which words it is told, and why it is hard."""

    hard: Hard
    weight: float
    words: str

    @property
    def why(self) -> str:
        """Why it is hard."""
        return WHY[self.hard]


@dataclass(frozen=True, slots=True)
class Hardness:
    """How hard a movement is: its demands, what weighs most first, and the noise that is likeliest in it."""

    demands: tuple[Demand, ...]
    noise: LikelyNoise | None

    @property
    def weight(self) -> float:
        """All demands together; the larger, the harder."""
        return sum(demand.weight for demand in self.demands)

    @property
    def level(self) -> HardnessLevel:
        """How hard that is, in four steps."""
        return next(level for least, level in LEVELS_FROM if self.weight >= least)


def hardness(transition: Transition, tuning: Tuning = HARMONIC) -> Hardness:
    """How hard a transition is for the hands and to the ear."""
    noise = next(iter(likely_noises(transition, tuning)), None)
    demands = tuple(_demands(transition, noise))
    return Hardness(tuple(sorted(demands, key=lambda demand: -demand.weight)), noise)


def _demands(transition: Transition, noise: LikelyNoise | None) -> Iterator[Demand]:
    movers = transition.movers
    if noise:
        yield Demand(Hard.NOISE, NOISE_WEIGHTS[noise.kind], _noise_words(noise))
    if transition.lifts and transition.drops:
        yield Demand(Hard.BOTH_WAYS, BOTH_WAYS_WEIGHT, "some fingers open while others close")
    if set(movers) & set(WHOLE_UPPER_HAND) and set(movers) & set(LOWER_HAND):
        yield Demand(Hard.BOTH_HANDS, BOTH_HANDS_WEIGHT, "both hands move")
    if Finger.THUMB in movers:
        yield Demand(Hard.THUMB, THUMB_WEIGHT, "the thumb moves")
    rings = [finger for finger in RING_FINGERS if finger in movers]
    if rings:
        words = "both ring fingers move" if len(rings) > 1 else "a ring finger moves"
        yield Demand(Hard.RING_FINGERS, RING_FINGERS_WEIGHT * len(rings), words)
    if len(movers) > 1:
        yield Demand(Hard.FINGERS, FINGER_WEIGHT * (len(movers) - 1), f"{_COUNTS[len(movers)]} fingers at once")


def _noise_words(noise: LikelyNoise) -> str:
    return "a veil is heard" if noise.kind is NoiseKind.VEIL else f"{noise.note.label} is heard"


_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")
