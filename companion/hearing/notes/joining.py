"""Equal notes in a row, as one where they belong together. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from companion.hearing.heard import HeardNote

TOUCHING_S = 1e-6


def touch(one: HeardNote, after: HeardNote) -> bool:
    """Whether one note begins where another ends."""
    return after.at_s - one.stop_s <= TOUCHING_S


def joined(notes: Sequence[HeardNote], belong: Callable[[HeardNote, HeardNote], bool] = touch) -> Iterator[HeardNote]:
    """Yield the notes in order of time, equal ones in a row that belong together as one, as sure as the surest of them.

    belong: is told a note, or what was joined so far, and the next one, equal to it.
    """
    held: HeardNote | None = None
    for each in notes:
        if held is not None and held.note is each.note and belong(held, each):
            held = replace(held, stop_s=each.stop_s, confidence=max(held.confidence, each.confidence))
            continue
        if held is not None:
            yield held
        held = each
    if held is not None:
        yield held
