"""What makes a round of a step not clean, of what the one judge finds in it; and every step can be heard."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from companion.lesson.model.known import Skill, SkillKind
from companion.lesson.model.steps import Lesson, Pace, Step, StepKind
from companion.lesson.steps.asking import asked_tune, terms_of, timing_of
from companion.lesson.steps.goals import ladder_of
from companion.lesson.steps.heard import RoundHeard, faults_of, most_lacking, round_heard, round_refused
from companion.listen.judgement import judge
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Played, Sounded
from companion.schedule.build import build_schedule
from companion.schedule.events import Event, EventKind
from companion.schedule.stretch import events_in
from companion.score.model import Tune
from tests.companion.lesson.steps.tunes import all_tunes, lesson_named, of_kind

BEGINS_S = 1.0
STEPS_APART = 37
"""Of each lesson every so manieth step is played: the lessons shift, so that all kinds come."""

ALTERNATING, ALTERNATING_SLOWEST = ("AGAGAG>A", "dcdcdc>d"), 3.5
"""What begins with its own note and goes back and forth is heard right no slower than so: of 4,287 rounds of all steps
of all lessons, each at three tempos, these two are not clean, at their slowest."""

pytestmark = pytest.mark.same_everywhere  # it takes long, and works with numbers of ours alone

JIG = "The Ropewalk Cat"


def events_of(lesson: Lesson, step: Step, pace: Pace) -> Sequence[Event]:
    """What a step asks for at a pace, without the gracenotes onto the note after it."""
    schedule = build_schedule(asked_tune(lesson, step), timing_of(pace))
    stretch = terms_of(lesson, step, pace).stretch
    asked = range(len(schedule.events)) if stretch is None else events_in(schedule, stretch)
    events = [schedule.events[each] for each in asked]
    while events[-1].kind is EventKind.GRACENOTE:
        events.pop()
    return events


def as_asked(events: Sequence[Event], shift_s: float = 0.0) -> list[Played]:
    """Events played as they are asked for; from the middle on later by `shift_s`."""
    half = len(events) // 2
    played: list[Played] = [
        Sounded(
            BEGINS_S + each.start_s + (shift_s if rank >= half else 0.0),
            None if each.kind is EventKind.REST else each.note,
        )
        for rank, each in enumerate(events)
    ]
    return [*played, Sounded(BEGINS_S + shift_s + events[-1].end_s, None)]


def heard(lesson: Lesson, step: Step, pace: Pace, played: Sequence[Played]) -> RoundHeard:
    """What is heard of a round."""
    return round_heard(step, judge(asked_tune(lesson, step), played, terms=terms_of(lesson, step, pace)))


@pytest.mark.parametrize("tune", all_tunes(), ids=lambda tune: tune.title)
def test_every_step_that_is_played_as_asked_is_heard_as_clean(tune: Tune) -> None:
    """At its slowest tempo, as it begins, and at the goal; drills and stretches alike, by the one judge."""
    lesson = lesson_named(tune.title)
    for rank in range(len(tune.title) % STEPS_APART, len(lesson.steps), STEPS_APART):
        step = lesson.steps[rank]
        for pace in (ladder_of(step).paces[0], step.pace, step.goal.pace):
            told = heard(lesson, step, pace, as_asked(events_of(lesson, step, pace)))
            assert told.clean, (step, pace, told)


@pytest.mark.parametrize("kind", [StepKind.EMBELLISHMENT, StepKind.IN_PLACE, StepKind.PHRASE_FREELY, StepKind.PHRASE])
def test_a_gracenote_left_out_is_a_fault_everywhere(kind: StepKind) -> None:
    """And it names the embellishment that is lacking."""
    lesson = lesson_named(JIG)
    step = next(each for each in of_kind(lesson, kind) if each.skill is None or each.skill.key == "gfg>f")
    events = list(events_of(lesson, step, step.pace))
    without = next(rank for rank, each in enumerate(events) if each.kind is EventKind.GRACENOTE and rank > 2)
    del events[without]
    told = heard(lesson, step, step.pace, as_asked(events))
    assert not told.clean
    assert told.amiss[0].skill is not None
    assert told.amiss[0].skill.kind is SkillKind.EMBELLISHMENT


def test_time_is_a_fault_only_where_the_metronome_keeps_it() -> None:
    """A phrase that stands still in its middle for a while: nothing out of time, a fault in time."""
    lesson = lesson_named(JIG)
    freely, in_time = of_kind(lesson, StepKind.PHRASE_FREELY)[1], of_kind(lesson, StepKind.PHRASE)[1]
    late = as_asked(events_of(lesson, in_time, in_time.pace), shift_s=0.35)
    assert not heard(lesson, in_time, in_time.pace, late).clean
    assert heard(lesson, freely, freely.pace, as_asked(events_of(lesson, freely, freely.pace), shift_s=0.35)).clean


def test_lengths_count_in_a_phrase_and_not_in_a_drill() -> None:
    """Long notes long, short notes short, in time or not (common practice: the trade's facts)."""
    lesson = lesson_named(JIG)
    kinds = {kind: faults_of(of_kind(lesson, kind)[0]) for kind in (StepKind.EMBELLISHMENT, StepKind.PHRASE_FREELY)}
    assert FindingKind.POINTING in kinds[StepKind.PHRASE_FREELY]
    assert FindingKind.POINTING not in kinds[StepKind.EMBELLISHMENT]
    assert FindingKind.LATE in faults_of(of_kind(lesson, StepKind.PHRASE)[0])
    assert FindingKind.LATE not in kinds[StepKind.PHRASE_FREELY]
    assert all(FindingKind.CROSSING in each for each in kinds.values())


def test_a_drill_goes_back_and_forth_several_times() -> None:
    """An embellishment four times in a round, a change of note as often each way."""
    lesson = lesson_named(JIG)
    for step in (*of_kind(lesson, StepKind.EMBELLISHMENT), *of_kind(lesson, StepKind.CROSSING)):
        events = events_of(lesson, step, step.pace)
        melody = [each.note for each in events if each.kind is EventKind.MELODY]
        assert step.skill is not None
        assert len(melody) == 8
        assert melody.count(step.skill.notes[1]) == 4
        graces = sum(each.kind is EventKind.GRACENOTE for each in events)
        assert graces == (4 * len(step.skill.notes[0]) if step.kind is StepKind.EMBELLISHMENT else 0)


def test_the_metronome_sounds_in_steps_that_are_in_time() -> None:
    """At the tempo that the step asks for; the others go by the learner's own pulse, as much slower as asked."""
    lesson = lesson_named(JIG)
    phrase, freely = of_kind(lesson, StepKind.PHRASE)[0], of_kind(lesson, StepKind.PHRASE_FREELY)[0]
    assert terms_of(lesson, phrase).metronome_bpm == phrase.beats_per_minute
    terms = terms_of(lesson, freely)
    assert terms.metronome_bpm is None
    assert terms.times_slower == terms.gracenotes_slowed == freely.slow_down
    assert terms.stretch == freely.stretch


def test_a_round_that_is_refused_is_not_clean() -> None:
    """It says what the judge said."""
    step = lesson_named(JIG).steps[0]
    assert not round_refused("this does not sound like it", step).clean


def test_what_is_lacking_most_often_is_found() -> None:
    """Not from one slip alone."""
    step = lesson_named(JIG).steps[0]
    slip = round_refused("amiss", step).amiss
    assert most_lacking(slip, 2) is None
    assert most_lacking(slip * 2, 2) == step.skill
    assert isinstance(step.skill, Skill)
