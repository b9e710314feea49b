"""Chooses the tune that is asked for from a book of several, and finds it again in a book that was written anew."""

from __future__ import annotations

from collections.abc import Sequence

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


def same_tune(tune: Tune, before: Sequence[Tune], after: Sequence[Tune]) -> Tune | None:
    """The tune of a book as it is now that is `tune` of the book before: by number and title, else by the one of them
    that tells it from all others, else, in a book of as many tunes, by its place in it. None where it is gone.

    A title comes before a number, since books are numbered anew when a tune is added to them.
    """
    both = [each for each in after if (each.reference, each.title) == (tune.reference, tune.title)]
    titled, was_titled = ([each for each in book if each.title == tune.title] for book in (after, before))
    numbered, was_numbered = ([each for each in book if each.reference == tune.reference] for book in (after, before))
    if len(both) == 1:
        return both[0]
    if tune.title and len(titled) == len(was_titled) == 1:
        return titled[0]
    if tune.reference and len(numbered) == len(was_numbered) == 1:
        return numbered[0]
    rank = next((rank for rank, each in enumerate(before) if each is tune), None)
    return after[rank] if rank is not None and len(before) == len(after) else None
