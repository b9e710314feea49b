"""Where bars of a tune are played: the turns of its performance."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from companion.lesson.phrases.plan import plan_of
from companion.lesson.steps.lesson import lesson_of
from companion.lesson.steps.turns import numbers_of, once_through, stretch_of_turns, ways_through, with_repeats
from companion.schedule.stretch import Stretch
from companion.score.model import Tune
from tests.companion.lesson.steps.tunes import tune_named
from tests.learners.tunes import make_tune

REEL = "The Slip in a Squall"


def in_order(*order: int) -> Tune:
    """A tune of eight bars that are played in this order."""
    return replace(make_tune(1, bars=8, parts=1), order=order)


def test_the_first_time_through_is_found() -> None:
    """To a second ending it is the second time, without the first."""
    reel = tune_named(REEL)
    assert once_through(reel, 0, 7) == range(8)
    assert once_through(reel, 6, 8) == range(14, 16)
    assert once_through(reel, 7, 8) is None
    assert once_through(in_order(2, 3, 0, 1), 0, 1) == range(2, 4)


def test_repeats_belong_to_a_part() -> None:
    """Endings too; a part that comes again later is found the first time."""
    reel = tune_named(REEL)
    assert with_repeats(reel, 0, 8) == range(16)
    assert with_repeats(in_order(0, 1, 2, 3, 0, 1), 0, 1) == range(2)
    assert with_repeats(in_order(0, 2), 0, 1) is None


def test_each_ending_is_a_way_of_its_own() -> None:
    """A repeat without the pick-up is none."""
    assert ways_through(tune_named(REEL), 6, 9) == (range(6, 8), range(14, 16))
    assert ways_through(in_order(0, 1, 2, 1, 2), 0, 3) == (range(3),)
    assert ways_through(in_order(4, 5), 0, 2) == ()


def test_all_turns_are_no_stretch_but_the_tune() -> None:
    """As a take is asked for that is of all of it."""
    tune = in_order(0, 1, 2)
    first, second = (len(tune.bars[bar].notes) for bar in (0, 1))
    assert stretch_of_turns(tune, range(3)) is None
    assert stretch_of_turns(tune, range(1, 2)) == Stretch(first, first + second)
    assert numbers_of(tune, range(1, 3)) == (2, 3)


def test_where_nothing_sounds_there_is_no_stretch() -> None:
    """A bar of rests."""
    tune = in_order(0, 1)
    silent = tune.bars[1]._replace(notes=tuple(note._replace(note=None) for note in tune.bars[1].notes))
    with pytest.raises(ValueError, match="no note"):
        stretch_of_turns(replace(tune, bars=(tune.bars[0], silent)), range(1, 2))


@settings(max_examples=25)
@given(some.integers(0, 500), some.sampled_from((1, 2, 3, 4, 8)), some.integers(1, 5))
def test_a_lesson_of_any_tune_holds_all_of_its_notes(draw: int, bars: int, parts: int) -> None:
    """Made-up tunes: each played note is in some step in time, and every stretch lies within the tune."""
    tune = make_tune(draw, bars=bars, parts=parts)
    lesson = lesson_of(tune, plan_of(tune))
    whole = range(sum(len(tune.bars[bar].notes) for bar in tune.order))
    for step in lesson.steps:
        notes = (step.stretch or Stretch(0, len(whole))).notes
        assert 0 <= notes[0] <= notes[-1] < len(whole)
        assert step.bars[0] <= step.bars[1]
    assert len({step.key for step in lesson.steps}) == len(lesson.steps)
