"""Remembers what short texts mean: the tunes of a book have few metres, keys, tempos and bar lines between them."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import Concatenate, ParamSpec, TypeVar, cast

MOST_REMEMBERED = 64
LONGEST_REMEMBERED = 64
"""How many texts are remembered for each sort of thing, and how many characters each may have: far more than a book of
pipe music has, so that files of noise cannot fill the memory."""

More = ParamSpec("More")
Meaning = TypeVar("Meaning")


def remembered(
    read: Callable[Concatenate[str, More], Meaning],
) -> Callable[Concatenate[str, More], Meaning]:
    """Make a function of a text work out each short text once only. What it returns must not be changed."""
    remembering = cast(Callable[Concatenate[str, More], Meaning], lru_cache(maxsize=MOST_REMEMBERED)(read))

    @wraps(read)
    def meaning(text: str, /, *more: More.args, **named: More.kwargs) -> Meaning:
        if len(text) > LONGEST_REMEMBERED:
            return read(text, *more, **named)
        return remembering(text, *more, **named)

    return meaning
