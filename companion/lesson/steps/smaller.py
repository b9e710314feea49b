"""The way out of a step that is too much as it stands: the movement that failed, or half of the stretch."""

from __future__ import annotations

from dataclasses import replace

from companion.lesson.model.known import Skill
from companion.lesson.model.steps import Goal, Lesson, Step, StepKind
from companion.lesson.steps.goals import slower
from companion.lesson.steps.heard import most_lacking
from companion.lesson.steps.make import drill_step, turns_step
from companion.lesson.steps.needs import Needs, needs_of
from companion.lesson.steps.practice import CLEAN_TO_RISE, Practice
from companion.schedule.stretch import Stretch
from companion.score.performance import performance

LACKING_OFTEN = 2
"""A skill that was lacking this often is what the step fails by; once may be a slip."""

TIMES_SLOWER = 1.5
"""What was too much begins, as something smaller, so many times slower than it was asked for. A choice, no source."""


def smaller_than(lesson: Lesson, practice: Practice) -> Step | None:
    """What to do before a step that is too much: the drill of the skill that was lacking most often in it, else the
    half of its bars in which more was amiss. None where nothing smaller is left.
    """
    needs = needs_of(lesson.tune)
    step = practice.step
    skill = most_lacking(practice.lacking, LACKING_OFTEN)
    if skill is not None and step.kind.is_of_the_tune and _is_drillable(needs, skill):
        return drill_step(lesson.tune, needs, skill)
    return _half(lesson, practice) if step.kind.is_of_the_tune else None


def _is_drillable(needs: Needs, skill: Skill) -> bool:
    """Whether the tune asks for it: what was heard in a noise may be no change of note that it has."""
    return skill in needs.places


def _half(lesson: Lesson, practice: Practice) -> Step | None:
    """The half of a step's bars in which more was amiss, the first of equals; None for a single bar.

    It is done where the step begins: from there on the step itself goes on.
    """
    step = practice.step
    tune = lesson.tune
    turns = _turns_of(lesson, step)
    if len(turns) < 2:
        return None
    middle = turns.start + len(turns) // 2
    halves = range(turns.start, middle), range(middle, turns.stop)
    amiss = [each.bar for each in practice.lacking]
    numbers = [{tune.bars[tune.order[turn]].number for turn in half} for half in halves]
    first, second = (sum(bar in each for bar in amiss) for each in numbers)
    half = halves[0] if first >= second else halves[1]
    kind = StepKind.PHRASE if step.kind.in_time else StepKind.PHRASE_FREELY
    try:
        made = turns_step(tune, kind, half, "")
    except ValueError:  # a half of rests, or of one note that is held over
        return None
    begins = slower(practice.ladder.paces[0], TIMES_SLOWER, in_time=kind.in_time)
    goal = Goal(CLEAN_TO_RISE, step.beats_per_minute, step.slow_down)
    begins = begins if begins.speed <= goal.pace.speed else goal.pace
    return replace(
        made,
        what=f"{_bars_words(made)} of {step.what.partition(' of ')[2] or step.what}",
        beats_per_minute=begins.beats_per_minute,
        slow_down=begins.slow_down,
        goal=goal,
    )


def _turns_of(lesson: Lesson, step: Step) -> range:
    """The turns that a step's stretch reaches into."""
    played = performance(lesson.tune)
    notes = (step.stretch or Stretch(0, len(played))).notes
    return range(played[notes[0]].turn, played[notes[-1]].turn + 1)


def _bars_words(step: Step) -> str:
    first, last = step.bars
    return f"bar {first}" if first == last else f"bars {first} to {last}"
