"""Stretches cut out of a tune: which bars are played, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from companion.score.excerpt import bars_of, part_of, phrase_of
from companion.score.model import Part, Phrase, Tune
from fingering.errors import UserError
from tests.companion.tune_building import notes, tune

REPEATED = (0, 1, 2, 3, 0, 1, 2, 3, 4, 5)
WITH_ENDINGS = (0, 1, 2, 0, 1, 3, 4, 5)


def six_bars(order: tuple[int, ...] = REPEATED, *, pick_up: bool = False) -> Tune:
    """Two parts: four bars in two phrases, played twice, then two bars."""
    parts = (
        Part("A", 0, 4, (Phrase(0, 2, "a"), Phrase(2, 4, "b"))),
        Part("B", 4, 6, (Phrase(4, 6, "c"),)),
    )
    return replace(tune(*[notes("A B")] * 6, order=order, pick_up=pick_up), parts=parts)


@pytest.mark.parametrize(
    ("first", "last", "order"), [(1, 2, (0, 1)), (2, 2, (1,)), (3, 5, (2, 3, 4)), (1, 6, (0, 1, 2, 3, 4, 5))]
)
def test_bars_are_played_once_in_a_row(first: int, last: int, order: tuple[int, ...]) -> None:
    """Where a repeat lies within them, the time through that leads on."""
    assert bars_of(six_bars(), first, last).order == order


def test_of_several_endings_the_one_that_leads_on_is_played() -> None:
    """Bar 3 is the first ending, bar 4 the second."""
    assert bars_of(six_bars(WITH_ENDINGS), 1, 3).order == (0, 1, 2)
    assert bars_of(six_bars(WITH_ENDINGS), 2, 5).order == (1, 3, 4)


def test_a_pick_up_is_bar_0() -> None:
    """As the window numbers it."""
    assert bars_of(six_bars(pick_up=True), 0, 1).order == (0, 1)


def test_bars_keep_their_numbers() -> None:
    """Nothing of the tune changes but what is played."""
    whole = six_bars()
    assert replace(bars_of(whole, 2, 3), order=whole.order) == whole


def test_a_part_and_a_phrase_are_played_once() -> None:
    """In letters of either size; a phrase needs no part where there is one only."""
    assert part_of(six_bars(), "A").order == (0, 1, 2, 3)
    assert part_of(six_bars(), "b").order == (4, 5)
    assert part_of(six_bars(WITH_ENDINGS), "A").order == (0, 1, 2)
    assert phrase_of(six_bars(), "A", 2).order == (2, 3)
    alone = replace(six_bars(), parts=six_bars().parts[:1])
    assert phrase_of(alone, None, 1).order == (0, 1)


def test_what_is_not_there_is_refused_with_what_is() -> None:
    """Bars, parts and phrases."""
    cases: tuple[tuple[Callable[[], Tune], str], ...] = (
        (lambda: bars_of(six_bars(), 1, 7), "no bar 7 is played; choose 1 to 6"),
        (lambda: bars_of(six_bars((4, 5, 0, 1)), 2, 5), "never played in a row"),
        (lambda: part_of(six_bars(), "C"), "choose one of A, B"),
        (lambda: phrase_of(six_bars(), "B", 2), "choose 1 to 1"),
        (lambda: phrase_of(six_bars(), None, 1), "A, B"),
        (lambda: part_of(six_bars((4, 5)), "A"), "never played"),
    )
    for cut, words in cases:
        with pytest.raises(UserError, match=words):
            cut()
