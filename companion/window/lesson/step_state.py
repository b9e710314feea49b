"""A learner at a step of a lesson, as data: what is played, in which phase of a round, and what is said."""

from __future__ import annotations

import enum
from dataclasses import dataclass, replace

from companion.lesson.model.steps import Lesson, Step, StepKind
from companion.lesson.steps.asking import asked_tune, timing_of
from companion.lesson.steps.practice import Practice, begin
from companion.lesson.steps.sitting import Course, Sitting
from companion.lesson.steps.words import next_words, wants_words
from companion.schedule.spans import Extent
from companion.schedule.stretch import span_of
from companion.sound.settings import SoundSettings
from companion.window.lanes.told import Feedback
from companion.window.play.play_state import PlayState, first_state

CLEAN = "That was clean."
METRONOME_LEVEL = 0.5
"""How loud the metronome is where a step is in time and it was off."""


class RoundPhase(enum.Enum):
    """Where a round stands: waiting for the learner, sounding, being heard, or its outcome being read."""

    READY = "ready"
    SOUNDING = "sounding"
    HEARING = "being heard"
    READING = "being read"


@dataclass(frozen=True, slots=True)
class StepState:
    """A sitting over a lesson, the step in hand as it plays, and the phase of the round."""

    sitting: Sitting
    play: PlayState
    phase: RoundPhase = RoundPhase.READY

    @property
    def practice(self) -> Practice | None:
        """The step in hand, None where nothing is left for now."""
        return self.sitting.practice

    @property
    def by_heart(self) -> bool:
        """Whether all but the pulse is hidden."""
        return self.practice is not None and self.practice.step.kind is StepKind.BY_HEART

    @property
    def place(self) -> str:
        """Where in the lesson it stands, in words: "step 7 of 24"; what is not one of its steps comes before one."""
        steps = self.sitting.course.lesson.steps
        if self.practice is None:
            return f"{len(self.sitting.course.done)} of {len(steps)} steps done"
        in_hand = [self.practice, *reversed(self.sitting.waiting)]
        ranks = [rank for each in in_hand for rank, step in enumerate(steps) if step.key == each.step.key]
        if not ranks:
            return "once more"
        return (
            f"step {ranks[0] + 1} of {len(steps)}"
            if steps[ranks[0]].key == self.practice.step.key
            else (f"before step {ranks[0] + 1} of {len(steps)}")
        )

    @property
    def lines(self) -> tuple[str, str]:
        """What is said: what the step wants, or what was amiss last; and what is to be done now."""
        practice = self.practice
        if practice is None:
            over = self.sitting.course.is_over
            return ("The tune is yours." if over else "Enough for today.", self.sitting.said)
        first = wants_words(practice.step)
        if practice.rounds and self.phase in (RoundPhase.READING, RoundPhase.SOUNDING):
            first = practice.last[0].words if practice.last else CLEAN
        return first, "listening to that again …" if self.phase is RoundPhase.HEARING else self.sitting.said


def _sound_of(step: Step, before: SoundSettings) -> SoundSettings:
    """The metronome where a step is in time; by heart, nothing else."""
    level = max(before.metronome_level, METRONOME_LEVEL) if step.kind.in_time else 0.0
    chanter = 0.0 if step.kind is StepKind.BY_HEART else before.chanter_level
    return replace(before, metronome_level=level, chanter_level=chanter)


def rank_of(lesson: Lesson, step: Step) -> int | None:
    """The rank of a step in a lesson, None for one that is not of it."""
    return next((rank for rank, each in enumerate(lesson.steps) if each.key == step.key), None)


def at_step(course: Course, rank: int) -> Sitting:
    """A sitting that begins with the step of that rank, whether it was done or not, and goes on from there; what was
    left out before it comes last."""
    steps = course.lesson.steps
    ahead = tuple(step for step in (*steps[rank + 1 :], *steps[:rank]) if step.key not in course.done)
    practice = begin(steps[rank])
    return Sitting(course, practice, ahead, said=next_words(practice))


def moved_step(sitting: Sitting, by: int) -> Sitting:
    """The sitting with the step before or after the one in hand, by the lesson's order; its ends are ends."""
    lesson = sitting.course.lesson
    practices = (sitting.practice, *reversed(sitting.waiting))
    ranks = [rank for each in practices if each and (rank := rank_of(lesson, each.step)) is not None]
    rank = ranks[0] if ranks else -1 if by > 0 else 1
    return at_step(sitting.course, min(max(rank + by, 0), len(lesson.steps) - 1))


def play_of_step(lesson: Lesson, practice: Practice, before: PlayState) -> PlayState:
    """What the playing screen plays in a step at the learner's pace, once; sound, ear and keys are as they were.

    Raises UserError for a pace out of reach.
    """
    step = practice.step
    tune, pace = asked_tune(lesson, step), timing_of(practice.pace)
    timing = replace(before.timing, beats_per_minute=pace.beats_per_minute, slow_down=pace.slow_down)
    state = first_state((tune,), tune, timing)
    state = replace(
        state,
        sound=_sound_of(step, before.sound),
        ear=replace(before.ear, feedback=Feedback.AT_END),
        live=before.live,
        touch=before.touch,
        extent=Extent.NOTHING,
        span=None,
        once=True,
    )
    if step.stretch is None or not step.kind.is_of_the_tune:
        return state
    span = span_of(state.schedule, step.stretch)
    return replace(state, span=span, marked=True, position_s=span.start_s)
