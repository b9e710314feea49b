"""Joins what was heard as an F and a high G, and was one gracenote. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from companion.hearing.heard import HeardNote
from companion.hearing.notes.runs.near_levels import NEAR_NOTES
from fingering.notes import Note

LONGEST_S = 0.06
"""A gracenote that is longer is heard for what it is in one of its halves at least. A choice, no source."""

NEARLY_S = 0.03


def whole(notes: Sequence[HeardNote]) -> list[HeardNote]:
    """The notes; of two that may be either, touch, and are as short together as one gracenote, one: while a chanter
    wavers or settles it looks like both. Beside a third of these names they are left as they are."""
    out: list[HeardNote] = []
    rank = 0
    while rank < len(notes):
        if _are_one(notes, rank):
            one, other = notes[rank : rank + 2]
            longer = max(one, other, key=lambda each: each.length_s)
            others = longer.others | (frozenset(NEAR_NOTES) - {longer.note})
            out.append(replace(longer, at_s=one.at_s, stop_s=other.stop_s, others=others))
            rank += 2
        else:
            out.append(notes[rank])
            rank += 1
    return out


def _are_one(notes: Sequence[HeardNote], rank: int) -> bool:
    if rank + 1 >= len(notes):
        return False
    one, other = notes[rank], notes[rank + 1]
    short = other.stop_s - one.at_s < LONGEST_S and nearly_touch(one, other)
    in_doubt = {one.note, other.note} == set(NEAR_NOTES) and other.note in one.others and one.note in other.others
    if not short or not in_doubt:
        return False
    before, after = notes[rank - 1] if rank else None, notes[rank + 2] if rank + 2 < len(notes) else None
    beside = [before] if before and nearly_touch(before, one) else []
    beside += [after] if after and nearly_touch(other, after) else []
    return not any(each.note in NEAR_NOTES for each in beside)


def nearly_touch(one: HeardNote, other: HeardNote) -> bool:
    """Whether a note begins where the one before it ends, or hardly later."""
    return other.at_s - one.stop_s <= NEARLY_S


def following(rank: int, notes: Sequence[HeardNote]) -> Note | None:
    """The note that touches one at its end, or nearly; None where none does."""
    after = notes[rank + 1] if rank + 1 < len(notes) and nearly_touch(notes[rank], notes[rank + 1]) else None
    return after.note if after else None
