"""A lesson: an ordered list of steps, each a thing to play, how it is asked for, and what counts as done."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from typing import NamedTuple

from companion.lesson.model.known import Skill, SkillKind
from companion.lesson.model.phrases import TunePlan
from companion.schedule.stretch import Stretch
from companion.score.model import Tune


class StepKind(enum.Enum):
    """What a step is about, from the smallest thing to the whole tune; spelled as in files and in JSON."""

    EMBELLISHMENT = "embellishment"
    IN_PLACE = "embellishment in its place"
    CROSSING = "change of note"
    DIFFERENCE = "what differs"
    PHRASE_FREELY = "phrase out of time"
    PHRASE = "phrase"
    PAIR = "question and answer"
    LINE = "line"
    PART = "part"
    JOINED = "parts joined"
    WHOLE = "whole tune"
    BY_HEART = "whole tune by heart"

    @property
    def is_of_the_tune(self) -> bool:
        """Whether it is a stretch of the tune as written; else it is a drill that is made for it."""
        return self not in _DRILLS

    @property
    def in_time(self) -> bool:
        """Whether the metronome keeps the time."""
        return self not in (*_DRILLS, StepKind.IN_PLACE, StepKind.DIFFERENCE, StepKind.PHRASE_FREELY)


_DRILLS = (StepKind.EMBELLISHMENT, StepKind.CROSSING)


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast a step is asked for: a tempo in beats a minute, and a slow-down of melody and gracenotes together."""

    beats_per_minute: float
    slow_down: float = 1.0

    @property
    def speed(self) -> float:
        """Beats a minute as they sound."""
        return self.beats_per_minute / self.slow_down


@dataclass(frozen=True, slots=True)
class Goal:
    """What counts as done: so many times in a row without a fault, at a tempo in beats a minute and a slow-down.

    slips: how many slips a time may have that counts nevertheless, in what is long.
    """

    in_a_row: int
    beats_per_minute: float
    slow_down: float = 1.0
    slips: int = 0

    @property
    def pace(self) -> Pace:
        """The tempo and the slow-down at which it counts."""
        return Pace(self.beats_per_minute, self.slow_down)


class StepKey(NamedTuple):
    """The identity of a step, whatever tempo a teacher gives it: its kind, its bars and the skill that it is of."""

    kind: StepKind
    bars: tuple[int, int]
    skill: Skill | None

    @property
    def text(self) -> str:
        """It as a line that can be kept: "phrase, 3-4", "embellishment, 2-2, gcd>c"."""
        movement = () if self.skill is None else (self.skill.key,)
        return ", ".join((self.kind.value, f"{self.bars[0]}-{self.bars[1]}", *movement))

    @classmethod
    def from_text(cls, text: str) -> StepKey:
        """What such a line stands for. Raises ValueError for any other."""
        name, numbers, *movement = text.split(", ")
        kind = StepKind(name)
        first, last = map(int, numbers.split("-"))
        if len(movement) > 1:
            raise ValueError(f"more than one movement in {text}")
        of = SkillKind.CHANGE if kind is StepKind.CROSSING else SkillKind.EMBELLISHMENT
        return cls(kind, (first, last), Skill(of, movement[0]) if movement else None)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a lesson.

    what: what is played, in words ("taorluath on low A", "A'", "A and B"). stretch: the notes of the tune as it is
    played, None for all of them, and for a drill, which is of `skill`. bars: the numbers of the first and last bar
    where that is in the tune. beats_per_minute and slow_down: how it begins. skill: what a drill is of, or what of the
    stretch is new; None where there is no single thing.
    """

    kind: StepKind
    what: str
    stretch: Stretch | None
    bars: tuple[int, int]
    beats_per_minute: float
    slow_down: float
    goal: Goal
    skill: Skill | None = None

    @property
    def pace(self) -> Pace:
        """The tempo and the slow-down with which it begins."""
        return Pace(self.beats_per_minute, self.slow_down)

    @property
    def key(self) -> StepKey:
        """Its identity."""
        return StepKey(self.kind, self.bars, self.skill)


@dataclass(frozen=True, slots=True)
class Lesson:
    """The steps that make of a tune something that a learner plays by heart."""

    tune: Tune
    plan: TunePlan
    steps: tuple[Step, ...]
