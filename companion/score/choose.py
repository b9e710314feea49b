"""Chooses the tune that is asked for from a book of several."""

from __future__ import annotations

from companion.score.model import Tune, Tunebook
from fingering.errors import UserError


def choose_tune(book: Tunebook, number: int | None = None) -> Tune:
    """The tune with that number in its X: field; failing that, the tune at that place in the book, counted from 1.

    number: None takes the first tune. Raises UserError where there is none.
    """
    if not book.tunes:
        raise UserError("there is no tune in it", "write one, from X:1 on", book.source)
    if number is None:
        return book.tunes[0]
    named = next((tune for tune in book.tunes if tune.reference == str(number)), None)
    if named is not None:
        return named
    if 1 <= number <= len(book.tunes):
        return book.tunes[number - 1]
    numbers = ", ".join(tune.reference or str(rank) for rank, tune in enumerate(book.tunes[:20], start=1))
    raise UserError(f"there is no tune {number}", f"choose one of {numbers}", book.source)
