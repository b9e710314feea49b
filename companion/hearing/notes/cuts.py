"""Notes that were heard in pieces: what cuts them may as well be they. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.hearing.heard import HARDLY_SURE, HeardNote
from companion.hearing.notes.joining import TOUCHING_S

LONGEST_GRACENOTE_S = 0.1
"""A longer sound between two pieces is a note. A choice, no source."""


def sounding_on(notes: Sequence[HeardNote], longest_gap_s: float) -> list[HeardNote]:
    """The notes where one that is cut in two sounds on: by what may as well be that note, as an echo of what sounded
    before does, or by a gap that is no stop. In simulated rooms hardly one such cut in twenty was played."""
    found: list[HeardNote] = []
    for each in notes:
        if len(found) > 1 and _is_cut(found[-2], found[-1], each):
            found.pop()
            found[-1] = _held_on(found[-1], each)
        elif found and found[-1].note is each.note and each.at_s - found[-1].stop_s <= longest_gap_s:
            found[-1] = _held_on(found[-1], each)
        else:
            found.append(each)
    return found


def _held_on(note: HeardNote, after: HeardNote) -> HeardNote:
    return replace(
        note,
        stop_s=after.stop_s,
        confidence=max(note.confidence, after.confidence),
        others=note.others & after.others,
    )


def _is_cut(before: HeardNote, cut: HeardNote, after: HeardNote) -> bool:
    """Whether a short sound is hardly surely any, and could as well be the note on both sides, which is surely itself
    on one."""
    if before.note is not after.note or before.note not in cut.others or cut.length_s >= LONGEST_GRACENOTE_S:
        return False
    silence_s = max(cut.at_s - before.stop_s, after.at_s - cut.stop_s)
    may_be_it = cut.note in before.others & after.others
    return cut.confidence < HARDLY_SURE and not may_be_it and silence_s <= TOUCHING_S
