"""The notes around a moment: the one that sounds, those that begin then, the short ones in a row. Pure."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import takewhile

from companion.hearing.heard import HeardNote
from companion.hearing.takes.reading.kinder import SHORT_S
from fingering.notes import Note

SAME_WITHIN_S = 0.015
"""A note of one name begins when another does, within so much of it."""

LED_TO_S = 0.1
"""What leads to a note has nothing to do with a moment so long after that begins: two of a name, with a gracenote
between them that is missing, sound as one."""


def sounding_at(notes: Sequence[HeardNote], at_s: float) -> int:
    """Return the rank of the last note that has begun at a moment; -1 before the first."""
    return bisect_right(notes, at_s + 1e-6, key=_begins_s) - 1


def begun_near(notes: Sequence[HeardNote], at_s: float, within_s: float = SAME_WITHIN_S) -> range:
    """Return the ranks of the notes that begin so near to a moment."""
    first = bisect_left(notes, at_s - within_s, key=_begins_s)
    return range(first, bisect_right(notes, at_s + within_s, key=_begins_s))


def like(note: HeardNote, notes: Sequence[HeardNote]) -> list[int]:
    """Return the ranks of the notes of a note's name that begin and end when it does."""
    near = begun_near(notes, note.at_s)
    return [
        rank
        for rank in near
        if notes[rank].note is note.note and abs(notes[rank].stop_s - note.stop_s) <= SAME_WITHIN_S
    ]


def movement(notes: Sequence[HeardNote], at_s: float) -> Iterator[HeardNote]:
    """Yield the short notes in a row around a moment: those that lead to a note that begins then, or hardly later."""
    at = max(0, sounding_at(notes, at_s + SAME_WITHIN_S))
    if notes and not is_short(notes[at]) and at_s - notes[at].at_s > LED_TO_S:
        return
    yield from takewhile(is_short, reversed(notes[:at]))
    yield from takewhile(is_short, notes[at:])


def leading_to(notes: Sequence[HeardNote], name: Note, at_s: float) -> Iterator[HeardNote]:
    """Yield the short notes in a row that lead to a note of a name that begins at a moment; all those around the moment
    where none of that name does."""
    onto = [rank for rank in begun_near(notes, at_s) if notes[rank].note is name]
    if not onto:
        yield from movement(notes, at_s)
        return
    yield from takewhile(is_short, reversed(notes[: onto[0]]))


def _begins_s(note: HeardNote) -> float:
    return note.at_s


def is_short(note: HeardNote) -> bool:
    """Whether a note is as short as gracenotes are."""
    return note.length_s < SHORT_S
