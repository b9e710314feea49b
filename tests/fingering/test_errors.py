"""The one line that a user reads."""

from __future__ import annotations

from fingering.errors import UserError


def test_a_user_error_says_where_what_and_what_to_do() -> None:
    """In that order, on one line."""
    error = UserError("the brace is not closed", "write a }", "tune.abc:7:3")
    assert str(error) == "tune.abc:7:3: the brace is not closed; write a }"


def test_the_place_may_be_left_out() -> None:
    """Not all mistakes are in a file."""
    assert str(UserError("no name", "give one")) == "no name; give one"
