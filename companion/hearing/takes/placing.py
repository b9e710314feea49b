"""Puts what was heard in a sound into the time of the tune that ran beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from companion.hearing.heard import HeardNote, HeardSound
from companion.listen.model.counted_in import EARLIEST_S, HELD_ON_S


def in_tune_time(heard: HeardSound, begins_s: float, starts_s: float) -> HeardSound:
    """What was heard from where a tune starts on, in the tune's time.

    begins_s: the tune's time at the first sample. starts_s: where what is to be judged starts: what sounded before,
    while it was counted in, is left out, but for a first note that came early or was held on.
    """

    def placed(notes: Iterable[HeardNote]) -> tuple[HeardNote, ...]:
        moved = (replace(each, at_s=each.at_s + begins_s, stop_s=each.stop_s + begins_s) for each in notes)
        return tuple(_within(moved, starts_s))

    return replace(heard, notes=placed(heard.notes), maybe=placed(heard.maybe))


def _within(notes: Iterable[HeardNote], starts_s: float) -> Iterator[HeardNote]:
    for note in notes:
        if note.at_s >= starts_s - EARLIEST_S:
            yield note
        elif note.stop_s >= starts_s + HELD_ON_S:
            yield replace(note, at_s=starts_s)
