"""Where a learner really began again, when the first notes might have been the next ones of the tune as well."""

from __future__ import annotations

import pytest

from companion.listen.model.asked import Asked
from companion.listen.model.findings import FindingKind
from companion.listen.model.played import Sounded
from tests.companion.listen.playing import asked_of, delayed, heard, leapt

ALIKE = "A2B2c2e2|{gcd}c2deedef|edcB c2e2|{gcd}c2deedef|edcB a2f2|g2f2e2d2|c2e2c2A2|B2c2A4|"
"""Bars 4 and 5 are bars 2 and 3 but for the last two notes, so that who goes back after bar 3 is found out there."""


def back_to_bar_two(asked: Asked) -> tuple[list[Sounded], int]:
    """The take that goes back to bar 2 after bar 3, and the event with which bar 2 comes the second time."""
    second, fourth = asked.bar_starts[1], asked.bar_starts[3]
    return leapt(asked, fourth, second), asked.tokens[fourth].first


def restart(asked: Asked, take: list[Sounded]) -> tuple[int, float]:
    """From which bar, and when, the take begins again: the only thing to be said of it."""
    (found,) = heard(asked, take)
    assert found.kind is FindingKind.RESTART
    return found.bar, found.at_s


def test_without_a_hesitation_the_last_bar_that_fits_is_where_it_began() -> None:
    """That of the notes that could not be the tune's next ones; five notes before it was found out."""
    asked = asked_of(ALIKE)
    take, again = back_to_bar_two(asked)
    third = again + asked.tokens[asked.bar_starts[2]].first - asked.tokens[asked.bar_starts[1]].first
    assert restart(asked, take) == (3, take[third].at_s)


def test_a_hesitation_tells_which_bar_was_begun_again() -> None:
    """Half a second before bar 2 was enough to think of it: fourteen notes before it was found out."""
    asked = asked_of(ALIKE)
    take, again = back_to_bar_two(asked)
    take = delayed(take, again, 0.5)
    assert restart(asked, take) == (2, take[again].at_s)


@pytest.mark.parametrize("notes", [4, 5, 6])
def test_a_hesitation_within_a_bar_tells_nothing_of_where_it_began(notes: int) -> None:
    """Only the first note of a bar does, which follows its first gracenote within 300 ms (a choice, no source)."""
    asked = asked_of(ALIKE)
    take, again = back_to_bar_two(asked)
    assert restart(asked, delayed(take, again + notes, 0.5))[0] == 3


def test_a_hesitation_half_a_second_into_a_bar_tells_nothing_either() -> None:
    """Four times as fast, 300 ms before the second note of bar 2."""
    asked = asked_of(ALIKE)
    take, again = back_to_bar_two(asked)
    quick = [Sounded(0.25 * event.at_s, event.note) for event in take]
    assert restart(asked, delayed(quick, again + 4, 0.3))[0] == 3


@pytest.mark.parametrize(("lost", "told"), [(2, 2), (3, 3), (4, 1), (5, 1)])
def test_four_notes_left_out_in_a_row_are_one_stretch_skipped(lost: int, told: int) -> None:
    """Fewer are told one by one (a choice, no source)."""
    asked = asked_of("A2B2c2d2|e2f2g2a2|f2e2d2c2|B2A2B2c2|")
    found = heard(asked, leapt(asked, 3, 3 + lost))
    assert [each.kind for each in found] == [FindingKind.MISSING_NOTE] * told
    if told == 1:
        (only,) = found
        assert only.asked == "defgaf"[:lost]
        assert only.text.startswith(f"Bar 1: {lost} melody notes were skipped, on to ")


def test_a_bar_begun_again_after_three_notes_is_that_and_no_notes_too_many() -> None:
    """Though the first of these is what they go on with: E, D, and E again."""
    asked = asked_of("A2{g}B2{d}c2A2|{g}e2d2{g}e2f2|{g}c2{d}A2B2c2|")
    take = leapt(asked, asked.bar_starts[1] + 5, asked.bar_starts[1])
    assert restart(asked, take)[0] == 2
