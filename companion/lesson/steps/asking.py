"""What a step asks for: its tune, its timing, and the terms on which the one judge hears it."""

from __future__ import annotations

from companion.lesson.model.steps import Lesson, Pace, Step
from companion.lesson.steps.drills import drill_tune
from companion.listen.model.terms import TakeTerms
from companion.schedule.timing import Timing
from companion.score.model import Tune


def asked_tune(lesson: Lesson, step: Step) -> Tune:
    """The tune that a step is played from: the lesson's own, or the small one that a drill is made of."""
    if step.kind.is_of_the_tune or step.skill is None:
        return lesson.tune
    return drill_tune(lesson.tune, step.skill)


def timing_of(pace: Pace) -> Timing:
    """The timing of a step at a pace: gracenotes are slowed with the melody. Raises UserError for one out of reach."""
    return Timing(beats_per_minute=pace.beats_per_minute, slow_down=pace.slow_down)


def terms_of(lesson: Lesson, step: Step, pace: Pace | None = None) -> TakeTerms:
    """The terms of a step at a pace, the one with which it begins by default: the metronome sounds where the step is in
    time, and the tune is judged over the step's stretch. Raises UserError for a pace out of reach."""
    timing = timing_of(pace or step.pace)
    stretch = step.stretch if step.kind.is_of_the_tune else None
    return TakeTerms.of(asked_tune(lesson, step), timing, metronome=step.kind.in_time, stretch=stretch)
