"""When a skill is due again: a day is a review, its first times tell, and nothing is left to chance.

Check values of the library are those of fsrs 6.3.2's default parameters: what it makes of them is taken from it, what
we make of days is ours.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from fsrs import Rating

from companion.lesson.progress.review import FirstTimes, Memory, day_of, is_sure, rating_of, reviewed, reviewed_all

DAY = date(2026, 3, 2).toordinal()


@pytest.mark.parametrize(
    ("clean", "asked", "rating"),
    [
        (0, 3, Rating.Again),
        (5, 11, Rating.Again),
        (5, 10, Rating.Hard),
        (7, 9, Rating.Hard),
        (8, 10, Rating.Good),
        (7, 7, Rating.Good),
        (8, 8, Rating.Easy),
        (18, 19, Rating.Good),
        (19, 20, Rating.Easy),
    ],
)
def test_what_was_clean_is_the_rating(clean: int, asked: int, rating: Rating) -> None:
    """By the share of the times asked; a few clean times are never more than good."""
    assert rating_of(FirstTimes(DAY, asked, clean)) is rating


def test_the_first_review_is_the_librarys() -> None:
    """Initial stabilities are the first four parameters (fsrs 6.3.2, DEFAULT_PARAMETERS)."""
    rated = {0: 0.212, 2: 1.2931, 3: 2.3065}
    for clean, stability in rated.items():
        assert reviewed(None, FirstTimes(DAY, 3, clean)).stability == stability
    assert reviewed(None, FirstTimes(DAY, 8, 8)).stability == 8.2956
    assert reviewed(None, FirstTimes(DAY, 8, 8)).due == DAY + 8


def test_what_was_forgotten_is_due_the_next_day() -> None:
    """A day is the shortest pause."""
    assert reviewed(None, FirstTimes(DAY, 3, 0)).due == DAY + 1


def test_pauses_grow_while_it_goes_well_and_shrink_when_it_does_not() -> None:
    """Each review on the day when it is due."""
    memory = reviewed(None, FirstTimes(DAY, 10, 9))
    pauses = []
    for _ in range(5):
        pauses.append(memory.due - memory.day)
        memory = reviewed(memory, FirstTimes(memory.due, 10, 9))
    assert pauses == sorted(set(pauses))
    after = reviewed(memory, FirstTimes(memory.due, 10, 1))
    assert after.due - after.day < memory.due - memory.day
    assert after.stability < memory.stability


def test_the_same_days_make_the_same_card() -> None:
    """No chance is in it."""
    days = [FirstTimes(DAY + 3 * n, 10, 6 + n % 5) for n in range(20)]
    assert reviewed_all(days) == reviewed_all(days)


def test_going_on_from_a_card_is_going_through_all() -> None:
    """The card before the last day is told, for that day may get further takes."""
    days = [FirstTimes(DAY + n, 10, n) for n in range(6)]
    whole, before_last = reviewed_all(days)
    first, _ = reviewed_all(days[:-1])
    assert before_last == first
    assert reviewed_all(days[-1:], first) == (whole, first)


def test_two_times_are_no_review() -> None:
    """One slip says nothing."""
    assert reviewed_all([FirstTimes(DAY, 2, 0)]) == (None, None)
    assert reviewed_all([FirstTimes(DAY, 3, 0)])[0] is not None


def test_a_sitting_past_midnight_belongs_to_its_evening() -> None:
    """Until four, by the player's own clock."""
    zone = timezone(timedelta(hours=-7))
    assert day_of(datetime(2026, 3, 3, 0, 30, tzinfo=zone)) == DAY
    assert day_of(datetime(2026, 3, 3, 3, 59, tzinfo=zone)) == DAY
    assert day_of(datetime(2026, 3, 3, 4, 0, tzinfo=zone)) == DAY + 1
    assert day_of(datetime(2026, 3, 2, 12, 0, tzinfo=UTC)) == DAY


def test_sure_is_a_week_of_stability_and_four_in_five_clean() -> None:
    """Neither is enough alone."""
    assert is_sure(Memory(DAY, 7.0, 5.0, DAY + 7), 20, 16)
    assert not is_sure(Memory(DAY, 6.9, 5.0, DAY + 7), 20, 20)
    assert not is_sure(Memory(DAY, 70.0, 5.0, DAY + 7), 20, 15)


def test_due_is_from_its_day_on() -> None:
    """The whole day."""
    memory = Memory(DAY, 7.0, 5.0, DAY + 7)
    assert [memory.is_due(DAY + n) for n in (6, 7, 8)] == [False, True, True]
