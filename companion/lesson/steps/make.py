"""Makes one step: of some turns of a tune, of an embellishment in its place, or a drill."""

from __future__ import annotations

from dataclasses import replace

from companion.lesson.model.known import Skill, SkillKind
from companion.lesson.model.steps import Goal, Pace, Step, StepKind
from companion.lesson.steps.drills import embellishment_of
from companion.lesson.steps.goals import usual_goal, usual_pace
from companion.lesson.steps.needs import Needs
from companion.lesson.steps.turns import numbers_of, stretch_of_turns
from companion.schedule.stretch import Stretch
from companion.score.model import Tune


def turns_step(tune: Tune, kind: StepKind, turns: range, what: str) -> Step:
    """A step of all notes of some turns of a tune, asked for as is usual."""
    return _usual(tune, kind, what, stretch_of_turns(tune, turns), numbers_of(tune, turns))


def drill_step(tune: Tune, needs: Needs, skill: Skill) -> Step:
    """The drill of a skill, with the bar in which the tune first asks for it, its first bar where it never does."""
    place = next(iter(needs.places.get(skill, (0,))))
    number = needs.schedule.played[place].bar.number
    kind = StepKind.EMBELLISHMENT if skill.kind is SkillKind.EMBELLISHMENT else StepKind.CROSSING
    return replace(_usual(tune, kind, skill_words(needs, skill), None, (number, number)), skill=skill)


def in_place_step(tune: Tune, needs: Needs, skill: Skill, notes: range) -> Step | None:
    """An embellishment between the notes beside it, where some played notes first have it; None where none has.

    A rest beside it belongs to it as little as the end of the tune does.
    """
    place = needs.first_in(skill, notes)
    if place is None:
        return None
    beside = [each for each in (place - 1, place, place + 1) if each in needs.notes]
    played = needs.schedule.played
    sounding = [each for each in beside if played[each].note.note is not None]
    stretch = Stretch(sounding[0], sounding[-1] + 1)
    # At the ends of a bar its neighbour is in the next one, which is no matter to who looks for it.
    number = played[place].bar.number
    return replace(
        _usual(tune, StepKind.IN_PLACE, skill_words(needs, skill), stretch, (number, number)),
        skill=skill,
    )


def skill_words(needs: Needs, skill: Skill) -> str:
    """A skill by its name: "taorluath on low A", "D and low A"."""
    if skill.kind is SkillKind.CHANGE:
        (before,), after = skill.notes
        return f"{before.label} and {after.label}"
    return (needs.embellishment(skill) or embellishment_of(skill)).full_name


def asked_at(step: Step, pace: Pace, goal: Goal) -> Step:
    """A step that begins at another pace and has another goal."""
    return replace(step, beats_per_minute=pace.beats_per_minute, slow_down=pace.slow_down, goal=goal)


def _usual(tune: Tune, kind: StepKind, what: str, stretch: Stretch | None, bars: tuple[int, int]) -> Step:
    pace = usual_pace(kind, tune)
    return Step(kind, what, stretch, bars, pace.beats_per_minute, pace.slow_down, usual_goal(kind, tune))
