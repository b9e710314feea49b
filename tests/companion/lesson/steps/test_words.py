"""What a learner is told of a step: one sentence each, in a piper's words."""

from __future__ import annotations

from companion.lesson.model.steps import StepKind
from companion.lesson.steps.heard import Amiss, RoundHeard
from companion.lesson.steps.practice import after_round, begin
from companion.lesson.steps.words import done_words, heard_words, next_words, wants_words
from tests.companion.lesson.steps.tunes import all_tunes, lesson_named, of_kind

JIG = "The Ropewalk Cat"
CLEAN, SLIP = RoundHeard(), RoundHeard((Amiss("C for B", 3),))


def test_each_step_says_what_it_wants_in_one_sentence() -> None:
    """Whatever the tune."""
    for tune in all_tunes():
        for step in lesson_named(tune.title).steps:
            for words in (wants_words(step), heard_words(step)):
                assert words[0].isupper()
                assert words.endswith(".")
                assert "{" not in words


def test_the_first_steps_of_a_lesson_in_words() -> None:
    """As a teacher would say them."""
    lesson = lesson_named(JIG)
    said = {kind: wants_words(of_kind(lesson, kind)[0]) for kind in StepKind if of_kind(lesson, kind)}
    assert said[StepKind.EMBELLISHMENT] == "Play the G gracenote on E by itself, over and over."
    assert said[StepKind.IN_PLACE] == "Play the G gracenote on E in its place, with the notes beside it in the pick-up."
    assert said[StepKind.PHRASE_FREELY] == (
        "Play phrase A, the pick-up and bars 1 and 2, out of time: long notes long, short notes short."
    )
    assert said[StepKind.WHOLE] == "Play the whole tune."


def test_what_counts_as_done_in_words() -> None:
    """With the tempo where the step is in time, else how much slower than at speed."""
    lesson = lesson_named(JIG)
    said = {kind: done_words(of_kind(lesson, kind)[0]) for kind in StepKind if of_kind(lesson, kind)}
    assert said[StepKind.EMBELLISHMENT] == "three times in a row without a fault, at speed"
    assert said[StepKind.PHRASE_FREELY] == "three times in a row without a fault, 1.5 times slower"
    assert said[StepKind.PHRASE] == "three times in a row without a fault, at 83 beats a minute"
    assert said[StepKind.WHOLE] == "once with three slips at most, at 104 beats a minute"


def test_what_is_next_and_why_in_one_sentence() -> None:
    """It follows what was heard."""
    practice = begin(of_kind(lesson_named(JIG), StepKind.PHRASE)[0])
    assert next_words(practice) == "Twice in a row without a fault; then a little faster."
    once = after_round(practice, CLEAN)
    assert next_words(once) == "Once more without a fault; then a little faster."
    amiss = after_round(once, SLIP)
    assert next_words(amiss) == "Mind bar 3: twice in a row without a fault; then a little faster."
    slower = after_round(amiss, SLIP)
    assert next_words(slower) == (
        "Slower now, since it slipped twice: twice in a row without a fault; then a little faster."
    )
    while not practice.at_goal:
        practice = after_round(practice, CLEAN)
    assert next_words(practice) == "Three times in a row without a fault, and it is done."
    for _ in range(3):
        practice = after_round(practice, CLEAN)
    assert next_words(practice) == "That was three times in a row without a fault: done."
