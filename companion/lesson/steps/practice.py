"""How a learner moves through one step: round after round, slower after failures, faster once it is clean.

The tempo is never above the goal, and every step ends: done, or stuck after so many failures at the slowest, or so many
rounds in all. What then is for `companion.lesson.steps.sitting`: something smaller first, or another time.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace

from companion.lesson.model.steps import Pace, Step, StepKind
from companion.lesson.steps.goals import PaceLadder, ladder_of
from companion.lesson.steps.heard import Amiss, RoundHeard

CLEAN_TO_RISE = 2
"""Clean rounds in a row after which the tempo rises: once may be luck; the third time is asked for at the goal."""

MISSES_TO_SLOW = 2
"""Failed rounds at one tempo after which it falls: once may be a slip."""

MISSES_AT_SLOWEST = 4
"""Failed rounds at the slowest tempo after which a step is too much as it stands. A choice, no source."""

MOST_ROUNDS, MOST_LONG_ROUNDS, LONG_BARS = 30, 12, 5
"""Rounds of a step, and of one of LONG_BARS bars or more: who is not done by then learns no more of it so, and the
hands want something else. Choices, no source."""


class StepStanding(enum.Enum):
    """How a step stands with a learner."""

    GOING = "going on"
    DONE = "done"
    STUCK = "too much as it stands"


@dataclass(frozen=True, slots=True)
class Practice:
    """A learner at one step. rung: the index of the tempo now in `ladder`. in_a_row: clean rounds in a row at it, and
    misses: failed ones at it, since it was come to. rounds: all. last: what was amiss in the last round; lacking: in
    all failed rounds.
    """

    step: Step
    ladder: PaceLadder
    rung: int
    in_a_row: int = 0
    misses: int = 0
    rounds: int = 0
    standing: StepStanding = StepStanding.GOING
    last: tuple[Amiss, ...] = ()
    lacking: tuple[Amiss, ...] = ()

    @property
    def pace(self) -> Pace:
        """The tempo and slow-down now."""
        return self.ladder.paces[self.rung]

    @property
    def at_goal(self) -> bool:
        """Whether the tempo is the goal's."""
        return self.rung == self.ladder.goal

    @property
    def needed(self) -> int:
        """How many clean rounds in a row are wanted at this tempo."""
        return self.step.goal.in_a_row if self.at_goal else clean_to_rise(self.step)


def clean_to_rise(step: Step) -> int:
    """How many clean rounds in a row a faster tempo wants: no more than the goal does. One of a drill holds the same
    thing several times, and one of an embellishment in its place is but a moment, which comes again in the phrase."""
    if not step.kind.is_of_the_tune or step.kind is StepKind.IN_PLACE:
        return 1
    return min(CLEAN_TO_RISE, step.goal.in_a_row)


def begin(step: Step) -> Practice:
    """A learner who comes to a step."""
    ladder = ladder_of(step)
    return Practice(step, ladder, ladder.begins)


def resume(practice: Practice) -> Practice:
    """A learner who comes back to a step at another time: a little slower, for a night lies between."""
    return replace(practice, rung=max(0, practice.rung - 1), in_a_row=0, misses=0, last=())


def passes(step: Step, heard: RoundHeard) -> bool:
    """Whether a round counts as without a fault: with no more slips than the goal allows."""
    return len(heard.amiss) <= step.goal.slips


def most_rounds(step: Step) -> int:
    """After how many rounds a step that fails once more is too much as it stands."""
    first, last = step.bars
    return MOST_LONG_ROUNDS if last - first + 1 >= LONG_BARS else MOST_ROUNDS


def begin_again(practice: Practice) -> Practice:
    """A learner who comes back to a step from something smaller: at its slowest tempo, with a clean slate."""
    return Practice(practice.step, practice.ladder, 0)


def after_round(practice: Practice, heard: RoundHeard) -> Practice:
    """The practice after one more round; a step that is done or stuck stays so."""
    if practice.standing is not StepStanding.GOING:
        return practice
    counted = replace(practice, rounds=practice.rounds + 1, last=heard.amiss)
    passed = passes(practice.step, heard)
    moved = _after_clean(counted) if passed else _after_miss(counted, heard)
    if not passed and moved.standing is StepStanding.GOING and moved.rounds >= most_rounds(practice.step):
        return replace(moved, standing=StepStanding.STUCK)
    return moved


def is_done(practice: Practice) -> bool:
    """Whether the step is done."""
    return practice.standing is StepStanding.DONE


def _after_clean(practice: Practice) -> Practice:
    in_a_row = practice.in_a_row + 1
    if in_a_row < practice.needed:
        return replace(practice, in_a_row=in_a_row)
    if practice.at_goal:
        return replace(practice, in_a_row=in_a_row, standing=StepStanding.DONE)
    return replace(practice, rung=practice.rung + 1, in_a_row=0, misses=0)


def _after_miss(practice: Practice, heard: RoundHeard) -> Practice:
    missed = replace(
        practice, in_a_row=0, misses=practice.misses + 1, lacking=(*practice.lacking, *heard.amiss)[-_MOST_LACKING:]
    )
    if practice.rung > 0:
        return replace(missed, rung=practice.rung - 1, misses=0) if missed.misses >= MISSES_TO_SLOW else missed
    return replace(missed, standing=StepStanding.STUCK) if missed.misses >= MISSES_AT_SLOWEST else missed


_MOST_LACKING = 100
"""How many things that were amiss are kept of a step; more say nothing new of what is lacking."""
