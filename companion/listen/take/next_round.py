"""Where a stretch is repeated, the first note of the next round may come a moment before this one is over."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.model.asked import Asked
from companion.listen.model.counted_in import EARLIEST_S
from companion.listen.model.played import Played
from companion.listen.take.credible import note_of


def before_next_round(asked: Asked, events: Sequence[Played]) -> Sequence[Played]:
    """A round without the first note of the next one: its last note, if that is so early that it can be it, and the
    same. The last event tells when the round was over."""
    if len(events) < 3 or not asked.tokens:
        return events
    *played, last, end = events
    is_next = note_of(last) is asked.tokens[0].note and end.at_s - last.at_s < EARLIEST_S
    return [*played, end] if is_next and note_of(end) is None else events
