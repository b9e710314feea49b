"""A fast path for plain notes, those that need nothing but being played. Most of a tune is these.

Each spelling is parsed once, with its gracenotes and with the notes that broken rhythm joins to it.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from companion.score.abc.header.keys import Key
from companion.score.abc.music.lengths import broken_pair
from companion.score.abc.music.spellings import (
    MOST_CACHES,
    MOST_GRACENOTES,
    MOST_SPELLINGS,
    ParsedGracenotes,
    ParsedNote,
    gracenote_cache,
    note_cache,
)
from companion.score.abc.music.tokens import JOINED, NOTE, TRIPLET
from companion.score.form.ticks import ticks_to_fraction
from fingering.notes import Note

LONGEST_CHUNK = 100
"""Characters of a chunk that may be plain: more than a bar has, and files of noise cannot fill the memory."""

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


class PlainCache(dict[str, tuple[PlainNote, ...] | None]):
    """A cache of the notes of a chunk, or of a piece of one, by its spelling and in playing order.

    None for what is not plain, no notes for a plain bar line. A missing chunk is parsed when asked for. `spelled` and
    `graces` are the caches of notes and of groups of gracenotes that it draws on.
    """

    def __init__(self, key: Key, unit: Fraction) -> None:
        super().__init__()
        self.spelled = note_cache(key, unit)
        self.graces = gracenote_cache(key)

    def __missing__(self, text: str) -> tuple[PlainNote, ...] | None:
        if len(text) > LONGEST_CHUNK:
            return None
        notes = self._work_out(text)
        if len(self) < MOST_SPELLINGS:
            self[text] = notes
        return notes

    def _work_out(self, text: str) -> tuple[PlainNote, ...] | None:
        if text[0] == "|" and text.rstrip(" ") == "|":
            return ()
        pieces = JOINED.findall(text)
        if pieces == [text]:
            return self._notes_of(text)
        if sum(map(len, pieces)) < len(text):
            return None
        notes: list[PlainNote] = []
        index = 0
        for piece in pieces:
            found = self[piece]
            if found is None:
                return None
            notes += [
                (index + column, ticks, pitch, length, graces, by, offsets)
                for column, ticks, pitch, length, graces, by, offsets in found
            ]
            index += len(piece)
        return tuple(notes)

    def _notes_of(self, text: str) -> tuple[PlainNote, ...] | None:
        """The notes of a piece: of notes that broken rhythm joins, mostly a single one, or of a triplet."""
        notes: list[PlainNote] = []
        broken = ""
        for match in NOTE.finditer(text):
            graces, spelling = match.groups()
            parsed = self.spelled[spelling]
            graced = graced_by(self.graces[graces], parsed) if graces else NOT_GRACED
            if parsed.remarkable or parsed.tied or graced is None or (broken and notes[-1][1] != parsed.ticks):
                return None
            note = match.start(2) + 1, parsed.ticks, parsed.note, parsed.length, *graced
            if broken:
                before, after = broken_pair(parsed.ticks, parsed.ticks, broken)
                notes[-1] = _lasting(notes[-1], before)
                note = _lasting(note, after)
            elif text[0] == "(":
                note = _lasting(note, parsed.ticks * 2 // TRIPLET)
            notes.append(note)
            broken = parsed.broken
        return None if broken else tuple(notes)


def _lasting(note: PlainNote, ticks: int) -> PlainNote:
    """A copy of the note that lasts `ticks`."""
    column, _, pitch, _, graces, by, offsets = note
    return column, ticks, pitch, ticks_to_fraction(ticks), graces, by, offsets


@lru_cache(maxsize=MOST_CACHES)
def plain_cache(key: Key, unit: Fraction) -> PlainCache:
    """The cache of plain chunks for a key and a unit note length."""
    return PlainCache(key, unit)
