"""Groups of learners: steady ones, unsteady ones, slow beginners."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import replace
from random import Random

from tests.learners.learner import SLIPS, Learner, Slip, Where

JITTER_S = 0.035
UNSTEADY_DRIFT = 0.15
SLOW_FASTEST = 50.0
SLOWEST_FASTEST = {"steady": (40.0, 120.0), "unsteady": (40.0, 80.0), "beginners": (20.0, 40.0)}


class LearnerGroup(enum.Enum):
    """Steady ones: 40 to 120 beats a minute, intervals that stray by 1.5 to 4 %, tempo wandering by up to 8 %.

    Unsteady ones: 40 to 80 beats a minute, every onset strays by 35 ms more, tempo wanders by 15 %. Beginners: 20 to 40
    beats a minute, else as steady as the first. All from common practice, no source.
    """

    STEADY = "steady"
    UNSTEADY = "unsteady"
    BEGINNERS = "beginners"


def learner_of(
    group: LearnerGroup,
    draw: int,
    *,
    faults: float = 0.0,
    restarts: float = 0.0,
    stops: float = 0.0,
    kinds: Sequence[Slip] = SLIPS,
    where: Where = Where.ANYWHERE,
    slow_gracenotes: bool = False,
    leaves_out: float = 0.0,
) -> Learner:
    """A learner drawn evenly from a group. slow_gracenotes: of a median between 80 and 110 ms; with those nobody plays
    faster than 50 beats a minute, so that there is room for them."""
    random = Random(draw)
    slowest, fastest = SLOWEST_FASTEST[group.value]
    learner = Learner(
        random.uniform(slowest, min(SLOW_FASTEST, fastest) if slow_gracenotes else fastest),
        spread=random.uniform(0.015, 0.04),
        drift=random.uniform(0.0, 0.08) if group is not LearnerGroup.UNSTEADY else UNSTEADY_DRIFT,
        faults=faults,
        restarts=restarts,
        stops=stops,
        before_beat=random.choice((None, None, True, False)),
        kinds=tuple(kinds),
        jitter_s=JITTER_S if group is LearnerGroup.UNSTEADY else 0.0,
        where=where,
        leaves_out=leaves_out,
    )
    return replace(learner, gracenote_s=random.uniform(0.080, 0.110)) if slow_gracenotes else learner
