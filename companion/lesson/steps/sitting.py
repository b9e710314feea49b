"""A learner's way through a lesson: what is done, which step is next, and what comes back.

A sitting is one time of practice. What is due again comes first, then the steps that are not done, in the lesson's
order. What is too much is helped by something smaller; if that does not help, it is set aside until the next sitting,
and in this one nothing is asked for that contains it. From its second time aside on it holds nothing up any more.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from companion.lesson.model.known import NOTHING_KNOWN, Known
from companion.lesson.model.steps import Lesson, Pace, Step, StepKey
from companion.lesson.steps.goals import DRILL_BEATS_PER_MINUTE
from companion.lesson.steps.heard import RoundHeard
from companion.lesson.steps.make import asked_at, drill_step
from companion.lesson.steps.needs import Needs, needs_of
from companion.lesson.steps.practice import Practice, StepStanding, after_round, begin, begin_again, resume
from companion.lesson.steps.smaller import smaller_than
from companion.lesson.steps.words import aside_words, next_words, smaller_words

MOST_DUE = 3
"""Drills of what is due again with which a sitting begins: enough to be warm, and time is left for what is new."""

DUE_SLOW_DOWN = 1.7
"""The slow-down at which a drill of what is due again begins: nearer to speed than a new one, since it was known."""

HOLDS_UP = 2
"""A step that was set aside so often is left for when the rest is learnt. A choice, no source."""


@dataclass(frozen=True, slots=True)
class Course:
    """What a learner has done of a lesson. aside: how often each step was set aside that was. going: what was in hand
    when the last sitting ended, the lesson's own step first, what is smaller after it; helped: as in `Sitting`."""

    lesson: Lesson
    done: frozenset[StepKey] = frozenset()
    aside: Mapping[StepKey, int] = field(default_factory=lambda: MappingProxyType({}))
    going: tuple[Practice, ...] = ()
    helped: frozenset[StepKey] = frozenset()

    @property
    def is_over(self) -> bool:
        """Whether all steps are done."""
        return all(step.key in self.done for step in self.lesson.steps)

    def left(self) -> Iterator[Step]:
        """The steps that are not done, in order; those that were set aside HOLDS_UP times come last."""
        steps = [step for step in self.lesson.steps if step.key not in self.done]
        yield from (step for step in steps if self.aside.get(step.key, 0) < HOLDS_UP)
        yield from (step for step in steps if self.aside.get(step.key, 0) >= HOLDS_UP)


@dataclass(frozen=True, slots=True)
class Sitting:
    """One time of practice. practice: the step in hand, None where nothing is left for now. waiting: those that wait
    for it, since it is a smaller thing to do before them, the largest first. ahead: the steps after these. helped:
    those that something smaller was done for. said: what is said to the learner now, one sentence.
    """

    course: Course
    practice: Practice | None
    ahead: tuple[Step, ...] = ()
    waiting: tuple[Practice, ...] = ()
    helped: frozenset[StepKey] = frozenset()
    said: str = ""


def sit_down(course: Course, known: Known = NOTHING_KNOWN) -> Sitting:
    """A sitting over what is due again and what is left."""
    left = tuple(course.left())
    due = _due(course.lesson, known, {step.key for step in left})
    return _next(Sitting(course, None, (*due, *left), helped=course.helped))


def leave(sitting: Sitting) -> Course:
    """What is kept when a sitting ends: also how far the step in hand had come, and those that wait for it."""
    practice, course = sitting.practice, sitting.course
    if practice is None:
        return course
    in_hand = (*sitting.waiting, practice)
    # A drill of what was due is no step of the lesson, which goes on where it was left before.
    return replace(course, going=in_hand, helped=sitting.helped) if in_hand[0].step in course.lesson.steps else course


def _due(lesson: Lesson, known: Known, left: set[StepKey]) -> Iterator[Step]:
    """Drills of what the tune asks for and is due again, in the order of the tune, without those left anyway."""
    needs = needs_of(lesson.tune)
    drills = (drill_step(lesson.tune, needs, skill) for skill in needs.places if skill in known.due)
    pace = Pace(DRILL_BEATS_PER_MINUTE, DUE_SLOW_DOWN)
    again = [asked_at(step, pace, step.goal) for step in drills if step.key not in left]
    yield from again[:MOST_DUE]


def after(sitting: Sitting, heard: RoundHeard) -> Sitting:
    """The sitting after one more round of the step in hand; as it was where there is none."""
    if sitting.practice is None:
        return sitting
    practice = after_round(sitting.practice, heard)
    match practice.standing:
        case StepStanding.GOING:
            return replace(sitting, practice=practice, said=next_words(practice))
        case StepStanding.DONE:
            return _after_done(sitting, practice)
        case StepStanding.STUCK:
            return _after_stuck(sitting, practice)


def _after_done(sitting: Sitting, practice: Practice) -> Sitting:
    if not sitting.waiting:
        course = replace(_without_going(sitting.course, practice.step), done=sitting.course.done | {practice.step.key})
        return _next(replace(sitting, course=course, said=next_words(practice)))
    *waiting, larger = sitting.waiting
    back = begin_again(larger)
    return replace(sitting, practice=back, waiting=tuple(waiting), said=next_words(back))


def _after_stuck(sitting: Sitting, practice: Practice) -> Sitting:
    step = practice.step
    smaller = None if step.key in sitting.helped else smaller_than(sitting.course.lesson, practice)
    if smaller is not None and smaller.key not in {each.step.key for each in (*sitting.waiting, practice)}:
        return replace(
            sitting,
            practice=begin(smaller),
            waiting=(*sitting.waiting, practice),
            helped=sitting.helped | {step.key},
            said=smaller_words(step, smaller),
        )
    return _set_aside(sitting, sitting.waiting[0].step if sitting.waiting else step)


def _without_going(course: Course, step: Step) -> Course:
    """The course in which a step is no longer one to come back to where it was left."""
    return replace(course, going=(), helped=frozenset()) if course.going and course.going[0].step == step else course


def _set_aside(sitting: Sitting, step: Step) -> Sitting:
    """Leave a step of the lesson, and what waits for it, until another time."""
    times = sitting.course.aside.get(step.key, 0) + 1
    aside = MappingProxyType({**sitting.course.aside, step.key: times})
    course = replace(_without_going(sitting.course, step), aside=aside)
    ahead = sitting.ahead
    if times < HOLDS_UP:
        needs = needs_of(course.lesson.tune)
        ahead = tuple(each for each in ahead if not leans_on(needs, each, step))
    return _next(replace(sitting, course=course, ahead=ahead, waiting=(), said=aside_words(step)))


def leans_on(needs: Needs, step: Step, other: Step) -> bool:
    """Whether a step contains another: its notes, or for a drill the skill."""
    if not step.kind.is_of_the_tune:
        return False
    notes = needs.notes if step.stretch is None else step.stretch.notes
    if not other.kind.is_of_the_tune and other.skill is not None:
        return needs.first_in(other.skill, notes) is not None
    inner = needs.notes if other.stretch is None else other.stretch.notes
    return inner[0] >= notes[0] and inner[-1] <= notes[-1]


def _next(sitting: Sitting) -> Sitting:
    """Take the next step in hand."""
    if not sitting.ahead:
        return replace(sitting, practice=None)
    step, *ahead = sitting.ahead
    going = sitting.course.going
    left_off = bool(going) and going[0].step == step
    practice = resume(going[-1]) if left_off else begin(step)
    return replace(
        sitting,
        practice=practice,
        waiting=going[:-1] if left_off else (),
        ahead=tuple(ahead),
        said=sitting.said or next_words(practice),
    )
