"""The steps of a lesson follow the order in which a tune is taught (common practice: the trade's facts, "How a tune is
taught")."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.commands.read import tune_json
from companion.lesson.model.known import Known, Skill, SkillKind
from companion.lesson.model.phrases import FoundPhrase, Likeness, PhraseDifference, PhraseEnd, TunePlan
from companion.lesson.model.steps import StepKind
from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.data import steps_to_data
from companion.lesson.steps.lesson import lesson_of
from companion.lesson.steps.needs import MOST_CROSSINGS, is_single, needs_of, new_embellishments
from companion.score.model import Tune
from fingering.crossings.hardness import HardnessLevel, hardness
from fingering.crossings.transition import Transition
from tests.companion.lesson.steps.tunes import all_tunes, lesson_named, of_kind, tune_named

JIG, REEL, LAMENT = "The Ropewalk Cat", "The Slip in a Squall", "Lament for the Tarrowick Bell"


@pytest.mark.parametrize("tune", all_tunes(), ids=lambda tune: tune.title)
def test_a_lesson_ends_with_the_whole_and_then_by_heart(tune: Tune) -> None:
    """At the tune's own tempo."""
    lesson = lesson_named(tune.title)
    assert [step.kind for step in lesson.steps[-2:]] == [StepKind.WHOLE, StepKind.BY_HEART]
    assert tune.tempo is not None
    assert {step.goal.beats_per_minute for step in lesson.steps[-2:]} == {tune.tempo.beats_per_minute}


@pytest.mark.parametrize("tune", all_tunes(), ids=lambda tune: tune.title)
def test_each_new_embellishment_is_a_drill_and_then_stands_in_its_place(tune: Tune) -> None:
    """Each once, and nothing that a beginner does not know is left out; a single gracenote once for all notes."""
    lesson = lesson_named(tune.title)
    drilled = [step.skill for step in of_kind(lesson, StepKind.EMBELLISHMENT)]
    assert len(set(drilled)) == len(drilled)
    assert set(drilled) == set(new_embellishments(needs_of(tune), Known()))
    singles = {each.name for each in needs_of(tune).schedule.embellishments if each and is_single(each)}
    assert all(any(step.what.startswith(name) for step in lesson.steps) for name in singles)
    taught = {skill.key for skill in drilled if skill}
    assert {skill.key for skill in needs_of(tune).places if len(skill.notes[0]) > 1} <= taught
    for before, after in zip(lesson.steps, lesson.steps[1:], strict=False):
        if before.kind is StepKind.EMBELLISHMENT:
            assert (after.kind, after.skill) == (StepKind.IN_PLACE, before.skill)


@pytest.mark.parametrize("tune", all_tunes(), ids=lambda tune: tune.title)
def test_new_embellishments_come_just_before_the_phrase_that_needs_them(tune: Tune) -> None:
    """The next step that is a stretch of the tune asks for it."""
    lesson = lesson_named(tune.title)
    needs = needs_of(tune)
    for index, step in enumerate(lesson.steps):
        if step.kind is StepKind.EMBELLISHMENT:
            small = (StepKind.EMBELLISHMENT, StepKind.IN_PLACE, StepKind.CROSSING)
            larger = next(each for each in lesson.steps[index:] if each.kind not in small)
            assert step.skill is not None
            assert needs.first_in(step.skill, larger.stretch.notes if larger.stretch else needs.notes) is not None


@pytest.mark.parametrize("tune", all_tunes(), ids=lambda tune: tune.title)
def test_few_changes_of_note_are_drilled_and_those_are_hard(tune: Tune) -> None:
    """Three at most, each for both ways, and each one that the tune asks for."""
    lesson = lesson_named(tune.title)
    skills = [step.skill for step in of_kind(lesson, StepKind.CROSSING)]
    assert len(skills) <= MOST_CROSSINGS
    for skill in skills:
        assert skill is not None
        assert skill in needs_of(tune).places
        (before,), after = skill.notes
        assert hardness(Transition.between(before, after)).level >= HardnessLevel.HARD
        assert Skill.of_change(after, before) not in skills


def test_each_different_phrase_is_learnt_once_out_of_time_and_then_to_the_metronome() -> None:
    """The jig has six phrases of eight that differ, by its reader's letters: a b a c, d e d c."""
    lesson = lesson_named(JIG)
    for kind in (StepKind.PHRASE_FREELY, StepKind.PHRASE):
        assert [step.what for step in of_kind(lesson, kind)] == [f"phrase {name}" for name in "ABCDE"]
    kinds = [step.kind for step in lesson.steps]
    first = kinds.index(StepKind.PHRASE_FREELY)
    assert kinds[first : first + 2] == [StepKind.PHRASE_FREELY, StepKind.PHRASE]


def test_phrases_are_joined_to_pairs_lines_and_parts() -> None:
    """Question and answer, then the line, then the part with its repeat, then the next part."""
    lesson = lesson_named(JIG)
    larger = (StepKind.PAIR, StepKind.LINE, StepKind.PART, StepKind.JOINED, StepKind.WHOLE)
    assert [(step.kind.value, step.what) for step in lesson.steps if step.kind in larger] == [
        ("question and answer", "phrases A and B"),
        ("question and answer", "phrases A and C"),
        ("line", "line A, B, A and C"),
        ("part", "part A with its repeat"),
        ("question and answer", "phrases D and E"),
        ("question and answer", "phrases D and C"),
        ("line", "line D, E, D and C"),
        ("part", "part B with its repeat"),
        ("whole tune", "the whole tune"),
    ]


def test_three_parts_are_joined_two_by_two() -> None:
    """And the part that comes again at the end is not learnt again."""
    lesson = lesson_named(LAMENT)
    assert [step.what for step in of_kind(lesson, StepKind.JOINED)] == ["parts A and B", "parts B and C"]
    assert len(of_kind(lesson, StepKind.LINE)) == 3


def test_a_second_ending_is_played_once_by_itself() -> None:
    """After the phrase with its first ending; both parts of the reel have one."""
    lesson = lesson_named(REEL)
    endings = [step for step in of_kind(lesson, StepKind.DIFFERENCE) if "ending" in step.what]
    assert [step.what for step in endings] == ["phrase C, ending 2", "phrase C', ending 2"]
    assert [step.bars for step in endings] == [(7, 9), (16, 18)]
    phrases = {step.what: step.bars for step in of_kind(lesson, StepKind.PHRASE)}
    assert phrases["phrase C"] == (7, 8)


def test_who_knows_the_embellishments_has_a_shorter_lesson() -> None:
    """Without any drill of them; what is due again is one to learn again."""
    known = frozenset(skill for skill in needs_of(tune_named(JIG)).places if skill.kind is SkillKind.EMBELLISHMENT)
    beginner, piper = lesson_named(JIG), lesson_named(JIG, Known(known))
    assert len(piper.steps) < len(beginner.steps) - 20
    assert not of_kind(piper, StepKind.EMBELLISHMENT) + of_kind(piper, StepKind.IN_PLACE)
    taorluath = next(skill for skill in known if skill.key == "gfg>f")
    again = lesson_named(JIG, Known(known, frozenset({taorluath})))
    assert [step.skill for step in of_kind(again, StepKind.EMBELLISHMENT)] == [taorluath]


def test_a_gracenote_that_is_sure_on_one_note_is_not_new_on_another() -> None:
    """The same finger does the same; a doubling is another on each note."""
    known = Known(frozenset({Skill(SkillKind.EMBELLISHMENT, "g>e")}))
    whats = [step.what for step in of_kind(lesson_named(JIG, known), StepKind.EMBELLISHMENT)]
    assert not any(what.startswith("G gracenote on") for what in whats)
    assert any("doubling" in what for what in whats)


def test_a_phrase_like_another_is_learnt_by_what_differs() -> None:
    """The bar that differs, and then the phrase; one of the same rhythm with other notes is a new one."""
    tune = tune_named(JIG)
    plan = plan_of(tune)
    like = replace(
        plan.phrases[1],
        name="A'",
        like="A",
        likeness=Likeness.OTHER_ENDING,
        differences=(PhraseDifference(tune.bars[4].number, tune.bars[2].number, "C", "B"),),
    )
    lesson = lesson_of(tune, replace(plan, phrases=(plan.phrases[0], like, *plan.phrases[2:])))
    steps = [(step.kind, step.bars) for step in lesson.steps if step.what.startswith("phrase A'")]
    number = tune.bars[4].number
    assert steps == [(StepKind.DIFFERENCE, (number, number)), (StepKind.PHRASE, like.numbers(tune))]
    new = replace(like, likeness=Likeness.SAME_RHYTHM)
    lesson = lesson_of(tune, replace(plan, phrases=(plan.phrases[0], new, *plan.phrases[2:])))
    assert [step.kind for step in lesson.steps if step.what == "phrase A'"] == [StepKind.PHRASE_FREELY, StepKind.PHRASE]


def test_a_tune_of_one_phrase_is_a_phrase_and_the_whole() -> None:
    """Nothing is asked for twice under another name."""
    tune = tune_named(JIG)
    bars = tune.bars[1:3]
    short = replace(tune, bars=bars, order=(0, 1), parts=(replace(tune.parts[0], first=0, stop=2, phrases=()),))
    plan = TunePlan((FoundPhrase("A", 0, 2, PhraseEnd.HOME),), (range(1),))
    kinds = [step.kind for step in lesson_of(short, plan).steps if step.skill is None]
    assert kinds == [StepKind.PHRASE_FREELY, StepKind.PHRASE, StepKind.WHOLE, StepKind.BY_HEART]


def test_a_tune_that_is_never_played_has_no_lesson() -> None:
    """Such a tune holds errors alone."""
    tune = replace(tune_named(JIG), order=())
    assert lesson_of(tune, TunePlan((), ())).steps == ()


@pytest.mark.parametrize("title", [JIG, REEL, LAMENT])
def test_bars_are_numbered_as_the_json_of_the_tune_numbers_them(title: str) -> None:
    """Each step's data has the keys that programs read."""
    lesson = lesson_named(title)
    numbers = {bar["number"] for bar in tune_json(lesson.tune)["bars"]}
    for data in steps_to_data(lesson):
        assert list(data) == ["kind", "what", "bars", "tempo", "slow", "done_when"]
        assert len(data["bars"]) == 2
        assert set(data["bars"]) <= numbers
        assert data["bars"][0] <= data["bars"][1]
