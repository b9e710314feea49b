"""How each kind of step is asked for: the tempo and slow-down it begins with, and what counts as done, with reasons."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from companion.lesson.model.steps import Goal, Pace, Step, StepKind
from companion.schedule.pace import tempo_of
from companion.schedule.timing import BEATS_PER_MINUTE_RANGE, DEFAULT_BEATS_PER_MINUTE, SLOWEST
from companion.score.model import Tune

DRILL_BEATS_PER_MINUTE = 80.0
"""The tempo of drills, a note a beat: an embellishment every second and a half leaves time to hear it. A choice."""


@dataclass(frozen=True, slots=True)
class StepManner:
    """How a kind of step is asked for. begins, goal: shares of the tempo; slow_from, slow_to: slow-downs."""

    begins: float
    goal: float
    slow_from: float
    slow_to: float
    in_a_row: int


# Three times in a row: once may be luck, three times hardly is. What is longer holds more chances to slip and takes
# more time, so it is asked for twice, and the whole once. A phrase need not reach the tune's tempo before the next is
# learnt: what it lacks comes with the larger steps, and only the whole is asked for as fast as the tune is. What is
# new begins slowly enough to place fingers one by one; what is put together of things that are sure begins nearer to
# where it shall end. Common practice (so long until it goes without a fault, slow before fast); the numbers are
# choices.
MANNERS = {
    StepKind.EMBELLISHMENT: StepManner(1.0, 1.0, 2.5, 1.0, 3),
    StepKind.IN_PLACE: StepManner(1.0, 1.0, 2.5, 1.5, 3),
    StepKind.CROSSING: StepManner(1.0, 1.0, 2.5, 1.0, 3),
    StepKind.DIFFERENCE: StepManner(1.0, 1.0, 2.0, 1.5, 2),
    StepKind.PHRASE_FREELY: StepManner(1.0, 1.0, 2.0, 1.5, 3),
    StepKind.PHRASE: StepManner(0.6, 0.8, 1.0, 1.0, 3),
    StepKind.PAIR: StepManner(0.7, 0.85, 1.0, 1.0, 2),
    StepKind.LINE: StepManner(0.75, 0.85, 1.0, 1.0, 2),
    StepKind.PART: StepManner(0.75, 0.9, 1.0, 1.0, 2),
    StepKind.JOINED: StepManner(0.8, 0.9, 1.0, 1.0, 2),
    StepKind.WHOLE: StepManner(0.8, 1.0, 1.0, 1.0, 1),
    StepKind.BY_HEART: StepManner(0.9, 1.0, 1.0, 1.0, 1),
}

RUNG, SLOW_RUNG = 1.12, 1.4
"""The factors from one tempo to the next faster one, in time and out of time: felt, and no leap. Choices, no source."""

NOTES_A_SLIP = 50
"""In what has as many notes and more, one slip in so many is allowed: who slips in another place each time lacks
nothing that a step could teach, and phrases are short enough to be asked for without any. A choice, no source."""

FLOOR, RUNGS_DOWN = 2.0, 3
"""The slowest is FLOOR times slower than the beginning, since slower still there is no phrase left to hear, in so many
rungs: who has failed needs a tempo that is clearly another. Choices, no source."""

_LEAST_SPEED = 20.0  # beats a minute: below it a pulse is no longer felt as one; from memory (London 2012)


def usual_pace(kind: StepKind, tune: Tune) -> Pace:
    """With which tempo and slow-down a step of that kind begins in a tune.

    A phrase to the metronome begins at 60 beats a minute or less, the usual start (common practice).
    """
    manner, own = MANNERS[kind], _own_tempo(kind, tune)
    tempo = own * manner.begins
    if kind is StepKind.PHRASE:
        tempo = min(tempo, DEFAULT_BEATS_PER_MINUTE)
    return Pace(_whole(tempo), manner.slow_from)


def usual_goal(kind: StepKind, tune: Tune, notes: int = 0) -> Goal:
    """What counts as done in a step of that kind of a tune. notes: how many melody notes it has."""
    manner = MANNERS[kind]
    tempo = _whole(_own_tempo(kind, tune) * manner.goal)
    return Goal(manner.in_a_row, tempo, manner.slow_to, notes // NOTES_A_SLIP)


def _own_tempo(kind: StepKind, tune: Tune) -> float:
    return tempo_of(tune).beats_per_minute if kind.is_of_the_tune else DRILL_BEATS_PER_MINUTE


def _whole(tempo: float) -> float:
    low, high = BEATS_PER_MINUTE_RANGE
    return float(min(high, max(low, round(tempo))))


@dataclass(frozen=True, slots=True)
class PaceLadder:
    """The tempos of a step, the slowest first, the goal last. begins: the index of the one with which it begins."""

    paces: tuple[Pace, ...]
    begins: int

    @property
    def goal(self) -> int:
        """The index of the goal."""
        return len(self.paces) - 1


def ladder_of(step: Step) -> PaceLadder:
    """The tempos between which a learner moves in a step: never above the goal, and not below a floor."""
    in_time = step.kind.in_time
    begin, goal = step.pace, step.goal.pace
    if begin.speed >= goal.speed:
        begin = goal
    up = math.ceil(math.log(goal.speed / begin.speed, RUNG if in_time else SLOW_RUNG) - _NEARLY)
    rising = [_between(begin, goal, count / up) for count in range(1, up)]
    falling = [slower(begin, FLOOR ** (count / RUNGS_DOWN), in_time=in_time) for count in range(RUNGS_DOWN, 0, -1)]
    lower = _faster_and_faster(each for each in falling if each.speed < begin.speed)
    upper = _faster_and_faster(each for each in rising if begin.speed < each.speed < goal.speed)
    first = () if begin == goal else (begin,)
    return PaceLadder((*lower, *first, *upper, goal), len(lower))


_NEARLY = 0.25  # of a rung: so little more is no rung of its own


def _faster_and_faster(paces: Iterable[Pace]) -> tuple[Pace, ...]:
    """Some paces without those that rounding has made no faster than the one before."""
    kept: list[Pace] = []
    for pace in paces:
        if not kept or pace.speed > kept[-1].speed:
            kept.append(pace)
    return tuple(kept)


def _between(begin: Pace, goal: Pace, share: float) -> Pace:
    """A pace that far on the way from the beginning to the goal, each step of the way alike."""
    tempo = begin.beats_per_minute * (goal.beats_per_minute / begin.beats_per_minute) ** share
    slow = begin.slow_down * (goal.slow_down / begin.slow_down) ** share
    return Pace(_whole(tempo), round(slow, 1))


def slower(pace: Pace, times: float, *, in_time: bool) -> Pace:
    """A pace so many times slower: of what is in time the tempo falls, of the rest the slow-down grows."""
    if not in_time:
        return Pace(pace.beats_per_minute, min(SLOWEST, round(pace.slow_down * times, 1)))
    least = min(_LEAST_SPEED * pace.slow_down, pace.beats_per_minute)
    return Pace(max(_whole(least), _whole(pace.beats_per_minute / times)), pace.slow_down)
