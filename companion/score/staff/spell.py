"""Puts the bars of a tune on the staff: ties, tuplets and beams."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.score.model import Bar, MelodyNote, Tune
from companion.score.staff.beams import beamed
from companion.score.staff.beats import beat_starts, first_offset
from companion.score.staff.model import (
    StaffBar,
    StaffGrace,
    StaffNote,
    StaffTuplet,
    TupletRatio,
    bar_id,
    grace_id,
    note_id,
)
from companion.score.staff.values import NoteValue, split, value_of

_GRACENOTE = NoteValue(32)


def staff_of(tune: Tune) -> tuple[StaffBar, ...]:
    """The bars of a tune as they are written on a staff, in written order.

    Notes that ties lengthened are written as tied notes again, over bar lines too: `Bar.length` says where they are.
    """
    writer = _Writer(Counter())
    bars: list[StaffBar] = []
    held: tuple[_Piece, ...] = ()
    for index, bar in enumerate(tune.bars):
        pieces, held = _cut_at_end(bar, held)
        bars.append(writer.bar(index, bar, pieces, pick_up=leads_in(tune.bars, index)))
    return tuple(bars)


def leads_in(bars: Sequence[Bar], index: int) -> bool:
    """Whether a bar is a pick-up: shorter than its metre, at the beginning or after a repeat or a double bar line."""
    bar = bars[index]
    full = bar.meter.bar_length
    if full is None or bar.length >= full:
        return False
    before = bars[index - 1].signs if index else None
    return before is None or bool(before.closes or before.double or bar.signs.opens or bar.signs.label is not None)


@dataclass(frozen=True, slots=True)
class _Piece:
    """The part of a note that lies in one bar: how long it is, and whether it goes on in the next."""

    note: MelodyNote
    length: Fraction
    goes_on: bool = False


def _cut_at_end(bar: Bar, held: tuple[_Piece, ...]) -> tuple[tuple[_Piece, ...], tuple[_Piece, ...]]:
    """The notes of a bar, the last cut where the bar ends; and what the next bar holds of it, one piece or none.

    held: what this bar holds of the bar before.
    """
    pieces = (*held, *(_Piece(note, note.duration) for note in bar.notes))
    if not pieces:
        return (), ()
    last = pieces[-1]
    room = bar.length - sum(piece.length for piece in pieces[:-1])
    if not 0 < room < last.length:
        return pieces, ()
    return (*pieces[:-1], _Piece(last.note, room, goes_on=True)), (_Piece(last.note, last.length - room),)


@dataclass(frozen=True, slots=True)
class _Writer:
    """Writes bars. `written` counts how many pieces each note, by its rank, has had so far."""

    written: Counter[int]

    def bar(self, index: int, bar: Bar, pieces: Sequence[_Piece], *, pick_up: bool) -> StaffBar:
        """A bar of these pieces."""
        starts = beat_starts(bar.meter)
        shift = first_offset(bar, pick_up=pick_up)
        offset = Fraction(0)
        items: list[StaffNote | StaffTuplet] = []
        for ratio, group in _tuplets(pieces):
            notes: list[StaffNote] = []
            for piece in group:
                notes += self._notes(piece, offset, shift, bar, ratio)
                offset += piece.length
            items += [StaffTuplet(ratio, beamed(notes))] if ratio else notes
        return StaffBar(bar_id(index), index, bar, beamed(items, starts, shift), pick_up)

    def _notes(
        self, piece: _Piece, offset: Fraction, shift: Fraction, bar: Bar, ratio: TupletRatio | None
    ) -> Iterator[StaffNote]:
        """The written notes of a piece, tied to each other."""
        scale = Fraction(ratio.actual, ratio.normal) if ratio else Fraction(1)
        values = split(piece.length * scale, offset + shift, bar.meter.beat_length)
        for i, value in enumerate(values):
            note, ordinal = piece.note, self.written[piece.note.rank]
            self.written[note.rank] += 1
            goes_on = piece.goes_on or i + 1 < len(values)
            sounds, length = note.note is not None, value.length / scale
            yield StaffNote(
                source=note,
                id=note_id(note.rank, ordinal),
                offset=offset,
                length=length,
                value=value,
                tied_in=sounds and ordinal > 0,
                tied_on=sounds and goes_on,
                graces=() if ordinal else graces_of(note),
            )
            offset += length


def graces_of(note: MelodyNote) -> tuple[StaffGrace, ...]:
    """The gracenotes of a note: demisemiquavers, longer or shorter where their lengths were written."""
    lengths = note.lengths_of_gracenotes()
    return tuple(
        StaffGrace(grace, grace_id(note.rank, i), value_of(length * _GRACENOTE.length) or _GRACENOTE)
        for i, (grace, length) in enumerate(zip(note.gracenotes, lengths, strict=True))
    )


def _tuplets(pieces: Sequence[_Piece]) -> Iterator[tuple[TupletRatio | None, Sequence[_Piece]]]:
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
