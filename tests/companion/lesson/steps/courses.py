"""A beginner's way through a lesson, day after day, with a clock of its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from companion.lesson.model.known import Known, Skill
from companion.lesson.model.steps import Lesson, StepKey
from companion.lesson.steps.practice import Practice, passes
from companion.lesson.steps.sitting import Course, Sitting, after, leave, sit_down
from tests.learners.beginner import Beginner, Slipped, heard_of

MINUTES_A_DAY = 20.0
"""Short sittings, since wrists and fingers tire: common practice, no source."""

Watch = Callable[[Practice, tuple[Slipped, ...]], None]


@dataclass(slots=True)
class Way:
    """What came of a course. days: how many it took; rounds of each step; reviewed: what came back when it was due."""

    course: Course
    days: int = 0
    rounds: Counter[StepKey] = field(default_factory=Counter)
    slowest: dict[StepKey, float] = field(default_factory=dict)
    reviewed: list[tuple[float, Skill]] = field(default_factory=list)
    smaller: int = 0
    moves: list[tuple[Practice, bool, Practice]] = field(default_factory=list)


def go_through(lesson: Lesson, beginner: Beginner, most_days: int, watch: Watch | None = None) -> Way:
    """Sit down every day until all is done, for so many days at most."""
    way = Way(Course(lesson))
    while not way.course.is_over and way.days < most_days:
        way.course = _one_day(way, beginner, watch)
        way.days += 1
        beginner.day += 1.0
    return way


def _one_day(way: Way, beginner: Beginner, watch: Watch | None) -> Course:
    known = beginner.known()
    sitting = sit_down(way.course, known)
    ends = beginner.minutes + MINUTES_A_DAY
    lesson_keys = {step.key for step in way.course.lesson.steps}
    while sitting.practice is not None and beginner.minutes < ends:
        practice = sitting.practice
        slipped = beginner.play(way.course.lesson, practice.step, practice.pace)
        if watch is not None:
            watch(practice, slipped)
        _note_down(way, sitting, known, lesson_keys, beginner.day)
        heard = heard_of(slipped)
        sitting = after(sitting, heard)
        if sitting.practice is not None and sitting.practice.step == practice.step:
            way.moves.append((practice, passes(practice.step, heard), sitting.practice))
    return leave(sitting)


def _note_down(way: Way, sitting: Sitting, known: Known, lesson_keys: set[StepKey], day: float) -> None:
    practice = sitting.practice
    assert practice is not None
    step = practice.step
    way.rounds[step.key] += 1
    way.slowest[step.key] = min(way.slowest.get(step.key, practice.pace.speed), practice.pace.speed)
    first = practice.rounds == 0 and not sitting.waiting
    if first and step.skill in known.due and (step.key not in lesson_keys or step.key in sitting.course.done):
        assert step.skill is not None
        way.reviewed.append((day, step.skill))
    way.smaller += bool(sitting.waiting) and practice.rounds == 0
