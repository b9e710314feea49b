"""When a skill is to be played again, by the fsrs library: one card a learner and skill, fed with what the ear heard.

The library's model tells how likely a thing is still known after some days, from how it went after the pauses before.
So a day counts as one review, dated to the day and not the hour, and it is judged by the first times of the day alone:
these show what was left after the pause. What is played on the same day after that is practice, which shows in the next
day's review; counted as reviews, ten rounds in an hour would pass for ten pauses outlived.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cache

from fsrs import Card, Rating, Scheduler, State

DAY_BEGINS = timedelta(hours=4)
"""A sitting that goes on past midnight belongs to the evening on which it began."""

FIRST_TIMES = 12
"""Times asked for on a day after which no further take is part of its review; a take is counted whole."""

LEAST_TIMES = 3
"""Fewer times on a day are no review: one slip or one lucky time says nothing."""

HARD_FROM, GOOD_FROM, EASY_FROM = 0.5, 0.8, 0.95
"""Shares of clean times from which a day's review is rated so; below the first it was forgotten (Again). Four in five
is what a teacher lets pass as learnt: our choice, no source."""

EASY_TIMES = 8
"""Times from which a review can be rated Easy: of fewer, all are clean by luck often enough."""

SURE_DAYS = 7.0
"""A skill can be sure once its stability is a week: by the library, nine in ten chances to have it after that long."""

SURE_SHARE = 0.8
LATELY_TIMES = 20
"""A skill is sure only if this share of its last times was clean, on as many of the last days as make LATELY_TIMES."""

DESIRED_RETENTION = 0.9  # the library's own default


@dataclass(frozen=True, slots=True)
class FirstTimes:
    """The first times of a day that a skill was asked for, and how many of them were clean. day: as `day_of`."""

    day: int
    asked: int
    clean: int

    @property
    def counts(self) -> bool:
        """Whether they are enough for a review."""
        return self.asked >= LEAST_TIMES

    @property
    def is_full(self) -> bool:
        """Whether what comes later on this day is practice."""
        return self.asked >= FIRST_TIMES


@dataclass(frozen=True, slots=True)
class Memory:
    """A card as the library leaves it after the review of a day: stability in days, difficulty from 1 to 10, and the
    day from which it is due."""

    day: int
    stability: float
    difficulty: float
    due: int

    def is_due(self, day: int) -> bool:
        """Whether it is to be played again on that day."""
        return self.due <= day


def day_of(moment: datetime) -> int:
    """The day of a moment, by its own time zone, as the proleptic Gregorian ordinal of `date`."""
    return (moment - DAY_BEGINS).date().toordinal()


def rating_of(first: FirstTimes) -> Rating:
    """How a day's first times are rated."""
    share = first.clean / first.asked
    if share >= EASY_FROM and first.asked >= EASY_TIMES:
        return Rating.Easy
    if share >= GOOD_FROM:
        return Rating.Good
    return Rating.Hard if share >= HARD_FROM else Rating.Again


def reviewed(before: Memory | None, first: FirstTimes) -> Memory:
    """A card after one more day; None stands for a skill that was never reviewed. The day is later than the card's."""
    card, _ = _scheduler().review_card(_card(before), rating_of(first), _noon(first.day))
    assert card.stability is not None
    assert card.difficulty is not None
    return Memory(first.day, card.stability, card.difficulty, card.due.date().toordinal())


def reviewed_all(days: Iterable[FirstTimes], since: Memory | None = None) -> tuple[Memory | None, Memory | None]:
    """A card after all these days, oldest first, and what it was before the last of those that count.

    since: the card before the first of them.
    """
    before: Memory | None = None
    now = since
    for first in days:
        if first.counts:
            before, now = now, reviewed(now, first)
    return now, before


def is_sure(memory: Memory, asked_lately: int, clean_lately: int) -> bool:
    """Whether a skill need not be taught, by its card and by how its last times went."""
    return memory.stability >= SURE_DAYS and clean_lately >= SURE_SHARE * asked_lately


@cache
def _scheduler() -> Scheduler:
    """Without steps of minutes, since a day is the shortest pause that is told, and without chance."""
    return Scheduler(desired_retention=DESIRED_RETENTION, learning_steps=(), relearning_steps=(), enable_fuzzing=False)


def _card(memory: Memory | None) -> Card:
    # All that the library would ask a clock for is given.
    if memory is None:
        return Card(card_id=1, due=_noon(1))
    last, due = _noon(memory.day), _noon(memory.due)
    return Card(1, State.Review, None, memory.stability, memory.difficulty, due, last)


def _noon(day: int) -> datetime:
    return datetime.combine(date.fromordinal(day), time(12), UTC)
