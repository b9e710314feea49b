"""What a tune repeats on its playing screen, as a step that a teacher can add to its lesson."""

from __future__ import annotations

from companion.lesson.model.steps import Step, StepKind
from companion.lesson.steps.goals import usual_goal, usual_pace
from companion.listen.model.words import bars_words
from companion.schedule.events import Schedule
from companion.schedule.stretch import Stretch
from companion.score.model import Tune


def repeated_step(tune: Tune, schedule: Schedule, stretch: Stretch | None) -> Step | None:
    """The stretch as a step in time, asked for as a phrase is; None for none."""
    if stretch is None:
        return None
    numbers = [schedule.played[rank].bar.number for rank in stretch.notes]
    bars = min(numbers), max(numbers)
    pace = usual_pace(StepKind.PHRASE, tune)
    what = bars_words(range(bars[0], bars[1] + 1))
    goal = usual_goal(StepKind.PHRASE, tune)
    return Step(StepKind.PHRASE, what, stretch, bars, pace.beats_per_minute, pace.slow_down, goal)
