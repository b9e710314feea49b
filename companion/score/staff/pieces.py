"""Cuts the notes of a tune where bars end, and gathers those that only a tuplet can write."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.score.model import Bar, MelodyNote
from companion.score.staff.model import TupletRatio


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of a note that lies in one bar: how long it is, and whether it goes on in the next."""

    note: MelodyNote
    length: Fraction
    goes_on: bool = False


def cut_at_end(bar: Bar, held: tuple[Piece, ...]) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """The notes of a bar, the last cut where the bar ends; and what the next bar holds of it, one piece or none.

    held: what this bar holds of the bar before.
    """
    pieces = (*held, *(Piece(note, note.duration) for note in bar.notes))
    if not pieces:
        return (), ()
    last = pieces[-1]
    room = bar.length - sum(piece.length for piece in pieces[:-1])
    if not 0 < room < last.length:
        return pieces, ()
    return (*pieces[:-1], Piece(last.note, room, goes_on=True)), (Piece(last.note, last.length - room),)


def in_tuplets(pieces: Sequence[Piece]) -> Iterator[tuple[TupletRatio | None, Sequence[Piece]]]:
    """The pieces in groups: those of one tuplet together with its ratio, each other by itself.

    A tuplet begins at a length whose denominator has an odd factor, and goes on until its notes together have none.
    """
    i = 0
    while i < len(pieces):
        odd = _odd_part(pieces[i].length)
        if odd == 1:
            yield None, pieces[i : i + 1]
            i += 1
            continue
        stop, total = i + 1, pieces[i].length
        while stop < len(pieces) and _odd_part(total) != 1:
            total += pieces[stop].length
            stop += 1
        yield TupletRatio(odd, 1 << (odd.bit_length() - 1)), pieces[i:stop]
        i = stop


def _odd_part(length: Fraction) -> int:
    """The odd factor of a length's denominator: 3 of 1/12, 1 of 3/8."""
    below = length.denominator
    return below // (below & -below)
