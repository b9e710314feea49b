"""Writes the notes of a bar as ABC."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from companion.score.formats.abc_text.lengths import length_text
from companion.score.formats.abc_text.strings import quoted_text
from companion.score.model import Bar, MelodyNote
from companion.score.staff.beats import beat_starts, first_offset
from companion.score.staff.model import TupletRatio
from companion.score.staff.pieces import Piece, in_tuplets
from fingering.notes import Note

LARGEST_TUPLET = 15
"""What larger tuplets would write is written as fractions of the unit."""

_PHRASE_END = "!shortphrase!"
_USUAL = {(3, 2, 3): "(3"}


class BarText:
    """Writes bars with a unit note length and the letters of a key."""

    def __init__(self, unit: Fraction, letters: Mapping[Note, str]) -> None:
        self._unit = unit
        self._letters = letters
        self._begun: set[int] = set()

    def of(self, bar: Bar, pieces: Sequence[Piece], *, pick_up: bool) -> str:
        """The notes of a bar, with a blank between beats; then its jumps and the mark that ends a phrase."""
        after = [f"!{jump}!" for jump in bar.signs.jumps] + ([_PHRASE_END] if bar.ends_phrase else [])
        if bar.signs.counts_for > 1:
            return f"Z{bar.signs.counts_for}{''.join(after)}"
        return "".join((*self._beats(bar, pieces, pick_up=pick_up), *after))

    def _beats(self, bar: Bar, pieces: Sequence[Piece], *, pick_up: bool) -> Iterator[str]:
        starts = beat_starts(bar.meter)
        at = first_offset(bar, pick_up=pick_up)
        following = next((start for start in starts if start > at), None)
        for ratio, group in in_tuplets(pieces):
            if following is not None and at >= following:
                yield " "
                following = next((start for start in starts if start > at), None)
            if ratio is not None and ratio.actual <= LARGEST_TUPLET:
                yield _tuplet(ratio, len(group))
                scale = Fraction(ratio.actual, ratio.normal)
            else:
                scale = Fraction(1)
            for piece in group:
                yield self._piece(piece, scale)
                at += piece.length

    def _piece(self, piece: Piece, scale: Fraction) -> str:
        note = piece.note
        before = "" if note.rank in self._begun else self._before(note)
        self._begun.add(note.rank)
        letter = "z" if note.note is None else self._letters[note.note]
        tie = "-" if piece.goes_on and note.note is not None else ""
        return f"{before}{letter}{length_text(piece.length * scale / self._unit)}{tie}"

    def _before(self, note: MelodyNote) -> str:
        """Chord, annotations, decorations and gracenotes, in the order of ABC 2.1 section 4.20."""
        chord = quoted_text(note.chord) if note.chord else ""
        words = "".join(quoted_text(each) for each in note.annotations)
        signs = "".join(f"!{each}!" for each in note.decorations if not any(map(str.isspace, each)))
        return f"{chord}{words}{signs}{self._gracenotes(note)}"

    def _gracenotes(self, note: MelodyNote) -> str:
        if not note.gracenotes:
            return ""
        pairs = zip(note.gracenotes, note.lengths_of_gracenotes(), strict=True)
        written = "".join(f"{self._letters[grace]}{length_text(length)}" for grace, length in pairs)
        return f"{{{'/' if note.acciaccatura else ''}{written}}}"


def _tuplet(ratio: TupletRatio, notes: int) -> str:
    """A tuplet's sign: "(3" for three in the time of two, else with all its numbers (ABC 2.1 section 4.13)."""
    return _USUAL.get((ratio.actual, ratio.normal, notes), f"({ratio.actual}:{ratio.normal}:{notes}")
