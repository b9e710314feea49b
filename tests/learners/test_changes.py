"""The order of parts and the notes that a simulated learner changes throughout a take."""

from __future__ import annotations

from random import Random

from tests.learners.changes import OrderChange, another_setting, goes_round, reordered, times_through
from tests.learners.tunes import make_tune

THREE_PARTS = make_tune(1, bars=6, parts=3)
TWO_PARTS = make_tune(1, bars=6, parts=2)


def parts(change: OrderChange) -> list[int]:
    """The parts of three, each written twice, after a change."""
    changed = reordered(THREE_PARTS, change, Random(1))
    assert changed is not None
    return [part for part, _ in times_through(changed)]


def test_each_change_of_order_does_what_it_says() -> None:
    """Of a tune in which each of three parts is played twice."""
    assert parts(OrderChange.SWAPPED) in ([1, 1, 0, 0, 2, 2], [0, 0, 2, 2, 1, 1])
    assert parts(OrderChange.LEFT_OUT) == [0, 0, 2, 2]
    assert sorted(map(parts(OrderChange.THRICE).count, range(3))) == [2, 2, 3]
    assert parts(OrderChange.ONCE_LESS) in ([0, 1, 1, 2, 2], [0, 0, 1, 2, 2])


def test_of_two_parts_none_is_left_out_and_swapping_them_is_going_round() -> None:
    """Who begins with the second and then plays the first has gone round the tune."""
    assert reordered(TWO_PARTS, OrderChange.LEFT_OUT, Random(1)) is None
    swapped = reordered(TWO_PARTS, OrderChange.SWAPPED, Random(1))
    assert swapped is not None
    assert goes_round(TWO_PARTS, swapped)


def test_another_setting_changes_two_to_four_notes_and_keeps_every_length() -> None:
    """Those written notes differ that are said to, and nothing else does."""
    changed, ranks = another_setting(THREE_PARTS, Random(1))
    old = [note for bar in THREE_PARTS.bars for note in bar.notes]
    new = [note for bar in changed.bars for note in bar.notes]
    assert {one.rank for one, two in zip(old, new, strict=True) if one != two} == ranks
    assert 2 <= len(ranks) <= 4
    assert [note.duration for note in old] == [note.duration for note in new]
