"""A fast path for plain notes, those that need nothing but being played. Most of a tune is these.

Each spelling is parsed once, with its gracenotes and with the notes that broken rhythm joins to it.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from companion.score.abc.header.keys import Key
from companion.score.abc.music.lengths import broken_pair, ticks_to_fraction
from companion.score.abc.music.spellings import (
    MOST_CACHES,
    MOST_GRACENOTES,
    MOST_SPELLINGS,
    ParsedGracenotes,
    ParsedNote,
    gracenote_cache,
    note_cache,
)
from companion.score.abc.music.tokens import NOTE, TRIPLET
from fingering.notes import Note

Graced = tuple[tuple[Note, ...], tuple[Fraction, ...], tuple[tuple[int, int], ...]]
"""The gracenotes onto a note, their lengths and their offsets, as in `MelodyNote`."""

NOT_GRACED: Graced = ((), (), ())

PlainNote = tuple[int, int, Note | None, Fraction, tuple[Note, ...], tuple[Fraction, ...], tuple[tuple[int, int], ...]]
"""Its column, counted from 1 at the beginning of its word; its length in ticks; then the fields of `MelodyNote`."""


def graced_by(group: ParsedGracenotes, parsed: ParsedNote) -> Graced | None:
    """The gracenotes of a group right before its note; None where there is something to report about the group."""
    if group.remarkable or parsed.note is None or len(group.notes) > MOST_GRACENOTES:
        return None
    return group.notes, group.lengths, group.offsets


class PlainWordCache(dict[str, tuple[PlainNote, ...] | None]):
    """A cache of the notes of a word by its spelling, in playing order; None for a word that is not plain.

    A missing word is parsed when asked for.
    """

    def __init__(self, key: Key, unit: Fraction) -> None:
        super().__init__()
        self._notes = note_cache(key, unit)
        self._graces = gracenote_cache(key)

    def __missing__(self, text: str) -> tuple[PlainNote, ...] | None:
        notes = self._work_out(text)
        if len(self) < MOST_SPELLINGS:
            self[text] = notes
        return notes

    def _work_out(self, text: str) -> tuple[PlainNote, ...] | None:
        notes: list[PlainNote] = []
        broken = ""
        for match in NOTE.finditer(text):
            graces, spelling = match.groups()
            parsed = self._notes[spelling]
            graced = graced_by(self._graces[graces], parsed) if graces else NOT_GRACED
            if parsed.remarkable or parsed.tied or graced is None or (broken and notes[-1][1] != parsed.ticks):
                return None
            ticks = parsed.ticks * 2 // TRIPLET if text[0] == "(" else parsed.ticks
            if broken:
                before, ticks = broken_pair(ticks, ticks, broken)
                notes[-1] = _lasting(notes[-1], before)
            notes.append(_lasting((match.start(2) + 1, ticks, parsed.note, parsed.length, *graced), ticks))
            broken = parsed.broken
        return None if broken else tuple(notes)


def _lasting(note: PlainNote, ticks: int) -> PlainNote:
    """A copy of the note that lasts `ticks`."""
    column, _, pitch, _, *graced = note
    return column, ticks, pitch, ticks_to_fraction(ticks), *graced  # type: ignore[return-value]


@lru_cache(maxsize=MOST_CACHES)
def plain_word_cache(key: Key, unit: Fraction) -> PlainWordCache:
    """The cache of plain words for a key and a unit note length."""
    return PlainWordCache(key, unit)
