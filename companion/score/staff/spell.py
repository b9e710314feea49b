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
from companion.score.staff.pieces import Piece, cut_at_end, in_tuplets
from companion.score.staff.values import NoteValue, split, value_of

_GRACENOTE = NoteValue(32)


def staff_of(tune: Tune) -> tuple[StaffBar, ...]:
    """The bars of a tune as they are written on a staff, in written order.

    Notes that ties lengthened are written as tied notes again, over bar lines too: `Bar.length` says where they are.
    """
    writer = _Writer(Counter())
    bars: list[StaffBar] = []
    held: tuple[Piece, ...] = ()
    for index, bar in enumerate(tune.bars):
        pieces, held = cut_at_end(bar, held)
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
class _Writer:
    """Writes bars. `written` counts how many pieces each note, by its rank, has had so far."""

    written: Counter[int]

    def bar(self, index: int, bar: Bar, pieces: Sequence[Piece], *, pick_up: bool) -> StaffBar:
        """A bar of these pieces."""
        starts = beat_starts(bar.meter)
        shift = first_offset(bar, pick_up=pick_up)
        offset = Fraction(0)
        items: list[StaffNote | StaffTuplet] = []
        for ratio, group in in_tuplets(pieces):
            notes: list[StaffNote] = []
            for piece in group:
                notes += self._notes(piece, offset, shift, bar, ratio)
                offset += piece.length
            items += [StaffTuplet(ratio, beamed(notes))] if ratio else notes
        return StaffBar(bar_id(index), index, bar, beamed(items, starts, shift), pick_up)

    def _notes(
        self, piece: Piece, offset: Fraction, shift: Fraction, bar: Bar, ratio: TupletRatio | None
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
