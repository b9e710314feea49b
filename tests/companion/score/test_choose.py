"""Finding a tune in a book."""

from __future__ import annotations

import pytest

from companion.score.abc import read_abc_text
from companion.score.choose import choose_tune
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
