"""Finding a tune in a book."""

from __future__ import annotations

import pytest

from companion.score.abc import read_abc_text
from companion.score.choose import choose_tune, same_tune
from companion.score.model import Tune
from fingering.errors import UserError

BOOK = read_abc_text("X:7\nT:Seven\nK:HP\nA|\n\nX:1\nT:One\nK:HP\nB|\n")


@pytest.mark.parametrize(("number", "title"), [(None, "Seven"), (7, "Seven"), (1, "One"), (2, "One")])
def test_by_number_then_by_rank(number: int | None, title: str) -> None:
    """X: numbers come first; a number that no tune has counts tunes; none at all is the first tune."""
    assert choose_tune(BOOK, number).title == title


@pytest.mark.parametrize("number", [0, -1, 3])
def test_a_tune_that_is_not_there(number: int) -> None:
    """The error says which there are."""
    with pytest.raises(UserError, match=f"there is no tune {number}; choose one of 7, 1"):
        choose_tune(BOOK, number)


def test_an_empty_book() -> None:
    """There is nothing to choose."""
    with pytest.raises(UserError, match="there is no tune in it"):
        choose_tune(read_abc_text(""))


def book(*heads: tuple[int | str, str]) -> tuple[Tune, ...]:
    """A book of tunes of these numbers and titles."""
    return read_abc_text("\n".join(f"X:{number}\nT:{title}\nK:HP\nA|\n" for number, title in heads)).tunes


BEFORE = book((1, "One"), (2, "Two"), (3, "Three"))


@pytest.mark.parametrize(
    ("after", "rank"),
    [
        (book((1, "One"), (2, "Two"), (3, "Three")), 1),
        (book((3, "Three"), (2, "Two"), (1, "One")), 1),
        (book((1, "New"), (2, "One"), (3, "Two"), (4, "Three")), 2),
        (book((1, "One"), (2, "Second"), (3, "Three")), 1),
        (book((1, "Two"), (2, "Two"), (3, "Three")), 1),
        (book((11, "One"), (12, "Second"), (13, "Three")), 1),
        (book((1, "One"), (3, "Three")), None),
    ],
)
def test_a_tune_is_found_again(after: tuple[Tune, ...], rank: int | None) -> None:
    """By number and title, by its title where it is numbered anew, by its number, by its place; else it is gone."""
    found = same_tune(BEFORE[1], BEFORE, after)
    assert found is (None if rank is None else after[rank])


def test_of_tunes_that_are_all_numbered_alike_the_place_counts() -> None:
    """As in a file whose writer never counts, and gave them one name."""
    before, after = (book((1, "Tune"), (1, "Tune"), (1, "Tune")) for _ in range(2))
    assert same_tune(before[1], before, after) is after[1]
