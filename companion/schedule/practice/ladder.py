"""The tempo ladder: while a stretch is repeated its tempo rises, step by step, up to that of the tune."""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace

from companion.schedule.pace import tempo_of
from companion.schedule.timing import Timing
from companion.score.model import Tune

STEP = 2.0
"""Beats a minute, as heard: a step that hands hardly notice. Common practice, no source."""

NEAR = 1e-6
"""Beats a minute: a tempo this close to the tune's is the tune's."""


class Ladder(enum.Enum):
    """After which rounds the tempo rises: none, each, every fourth, or each in which nothing was to be mended."""

    OFF = "off"
    EACH = "each"
    FOURTH = "fourth"
    CLEAN = "clean"


@dataclass(frozen=True, slots=True)
class Climb:
    """How far a climb came: how many times all that is repeated was played, and how many of them since the last step.

    It rises by at most a step at a time, however much was played since it was last asked.
    """

    times: int = 0
    waited: int = 0

    def after(self, times: int, ladder: Ladder, *, clean: bool) -> tuple[Climb, bool]:
        """The climb after `times`, and whether the tempo rises now. clean: whether nothing was to be mended in the last
        round. Less than before means that the tune was taken elsewhere: it is counted from there.
        """
        if times <= self.times:
            return (self if times == self.times else Climb(times)), False
        waited = self.waited + times - self.times
        rises = {Ladder.OFF: False, Ladder.EACH: True, Ladder.FOURTH: waited >= 4, Ladder.CLEAN: clean}[ladder]
        return Climb(times, 0 if rises else waited), rises


def heard_tempo(tune: Tune, timing: Timing) -> float:
    """Beats a minute as they are heard, slow-down included."""
    return (timing.beats_per_minute or tempo_of(tune).beats_per_minute) / timing.slow_down


def goal_of(tune: Tune) -> float:
    """Beats a minute at which a climb ends: the tune's own."""
    return tempo_of(tune).beats_per_minute


def step_up(tune: Tune, timing: Timing) -> Timing:
    """The timing a step faster, as heard: it is slowed down less and then, at full speed, has more beats a minute.

    At the tune's own tempo, and above it, it stays.
    """
    heard, goal = heard_tempo(tune, timing), goal_of(tune)
    if heard >= goal - NEAR:
        return timing
    wanted = min(heard + STEP, goal)
    asked = heard * timing.slow_down
    if wanted < asked - NEAR:
        return replace(timing, slow_down=asked / wanted)
    return replace(timing, slow_down=1.0, beats_per_minute=None if abs(wanted - goal) < NEAR else wanted)
