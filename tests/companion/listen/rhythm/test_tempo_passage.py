"""A passage at a tempo of its own. All shares are choices, no source."""

from __future__ import annotations

import math

import pytest

from companion.listen.rhythm.tempo_passage import bars_of, passage_of

BARS = bars_of([note // 4 for note in range(96)])
REACH = 4


def windows(first: int, stop: int, times: float, *, of: int = 96) -> list[tuple[int, float]]:
    """The tempo around each note: 60, and so many times as fast from note `first` to `stop` - 1."""
    return [(note, 60.0 * (times if first <= note < stop else 1.0)) for note in range(of)]


def test_a_tempo_that_falls_and_stays_is_a_passage_to_the_end() -> None:
    """From the first note of a bar on."""
    found = passage_of(windows(40, 96, 0.85), BARS, REACH)
    assert found is not None
    assert (found.first, found.last, found.to_end) == (40, 95, True)
    assert (found.qpm, found.rest_qpm) == pytest.approx((51.0, 60.0))


def test_a_passage_may_end_before_the_take_does() -> None:
    """The last note of a bar."""
    found = passage_of(windows(40, 72, 1.2), BARS, REACH)
    assert found is not None
    assert (found.first, found.last, found.to_end) == (40, 71, False)


@pytest.mark.parametrize(("times", "told"), [(1.121, True), (1.119, False), (1 / 1.121, True), (1 / 1.119, False)])
def test_twelve_in_a_hundred_is_another_tempo(times: float, told: bool) -> None:
    """Faster or slower."""
    assert (passage_of(windows(40, 96, times), BARS, REACH) is not None) is told


def test_a_short_passage_is_none() -> None:
    """Sixteen notes, of which twelve are clear of its ends; and as many are left besides."""
    assert passage_of(windows(40, 56, 0.8), BARS, REACH) is not None
    assert passage_of(windows(40, 48, 0.8), BARS, REACH) is None
    assert passage_of(windows(8, 96, 0.8), BARS, REACH) is None


def test_a_tempo_that_comes_and_goes_is_no_passage() -> None:
    """The tempo swings by a quarter, in a sine, and has no one place where it changes."""
    wandering = [(note, 60.0 * (1.0 + 0.12 * math.sin(math.tau * note / 96.0))) for note in range(96)]
    assert passage_of(wandering, BARS, REACH) is None


def test_nothing_is_made_of_nothing() -> None:
    """No note, and one bar."""
    assert passage_of([], BARS, REACH) is None
    assert passage_of(windows(0, 4, 1.0, of=4), BARS, REACH) is None


def test_the_notes_of_each_bar() -> None:
    """By the turn of each note."""
    assert bars_of([0, 0, 1, 2, 2, 2]) == [range(2), range(2, 3), range(3, 6)]
