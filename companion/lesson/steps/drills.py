"""The small tunes that drills are made of: an embellishment between two notes, or two notes back and forth."""

from __future__ import annotations

from dataclasses import replace

from companion.lesson.model.known import Skill, SkillKind
from companion.lesson.steps.needs import needs_of
from companion.score.exercise import change_exercise, exercise_of
from companion.score.model import Tune
from fingering.embellishments import Embellishment, Family, notes_before, recognise
from fingering.notes import Note

TIMES_THROUGH = 2
"""How often the bar of an exercise is played in a round; it holds the embellishment, or the change and back, twice."""


def drill_tune(tune: Tune, skill: Skill) -> Tune:
    """The tune of a drill for a skill that a tune asks for: one bar, played over."""
    if skill.kind is SkillKind.CHANGE:
        (before,), after = skill.notes
        exercise = change_exercise(before, after)
    else:
        before = note_before(tune, skill)
        exercise = exercise_of(embellishment_of(skill, before), before)
    return replace(exercise, order=exercise.order * TIMES_THROUGH)


def embellishment_of(skill: Skill, before: Note | None = None) -> Embellishment:
    """The embellishment that a skill is, as it comes after a note."""
    gracenotes, onto = skill.notes
    return recognise(tuple(gracenotes), onto=onto, before=before)


def note_before(tune: Tune, skill: Skill) -> Note:
    """The note out of which an embellishment is drilled: the one before it in the tune where it first comes, if it is
    another than the one that it leads onto; else the nearest out of which it can be played."""
    needs = needs_of(tune)
    _, onto = skill.notes
    places = needs.places.get(skill, ())
    played = needs.schedule.played
    neighbours = (played[place - 1].note.note for place in places if place > 0)
    found = next((note for note in neighbours if note is not None and note is not onto), None)
    return found or _nearest(embellishment_of(skill), onto)


def _nearest(embellishment: Embellishment, onto: Note) -> Note:
    """The nearest note out of which an embellishment can be played; the one that it leads onto where there is no other,
    for then they are one long note where the exercise goes back."""
    named = () if embellishment.family is Family.UNNAMED else notes_before(embellishment.name, onto)
    first = embellishment.gracenotes[0]
    choices = [note for note in named or tuple(Note) if note is not first] or [onto]
    return min(choices, key=lambda note: (note is onto, abs(note - onto), note))
