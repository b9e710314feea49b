"""Note values: what one note can be written for, and how other lengths are tied together."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.score.staff.values import NoteValue, split, value_of

pytestmark = pytest.mark.same_everywhere

QUARTER = Fraction(1, 4)


@pytest.mark.parametrize(
    ("length", "value"),
    [
        (Fraction(2), NoteValue(0)),
        (Fraction(1), NoteValue(1)),
        (Fraction(3, 8), NoteValue(4, 1)),
        (Fraction(7, 16), NoteValue(4, 2)),
        (Fraction(15, 64), NoteValue(8, 3)),
        (Fraction(1, 32), NoteValue(32)),
        (Fraction(5, 8), None),
        (Fraction(1, 12), None),
        (Fraction(1, 1024), None),
    ],
)
def test_the_note_of_a_length(length: Fraction, value: NoteValue | None) -> None:
    """A note lasts a power of two of a whole note, half as long again with one dot; other lengths have none."""
    assert value_of(length) == value


@given(st.integers(1, 64), st.integers(0, 31), st.sampled_from([QUARTER, Fraction(3, 8), Fraction(1, 2)]))
def test_a_split_length_is_whole(units: int, offset: int, beat: Fraction) -> None:
    """The values of any length in thirty-seconds add up to it."""
    values = split(Fraction(units, 32), Fraction(offset, 32), beat)
    assert sum(value.length for value in values) == Fraction(units, 32)


def test_a_split_shows_the_beat() -> None:
    """Five quavers from the second quaver of a bar of 6/8 are two, up to the beat, and a dotted crotchet."""
    assert split(Fraction(5, 8), Fraction(1, 8), Fraction(3, 8)) == (NoteValue(4), NoteValue(4, 1))


def test_flags() -> None:
    """A crotchet has no flag, a quaver one, a demisemiquaver three (common practice, no source)."""
    assert [NoteValue(base).flags for base in (0, 1, 2, 4, 8, 16, 32)] == [0, 0, 0, 0, 1, 2, 3]
