"""What was heard in a sound as events, like those of an electronic chanter."""

from __future__ import annotations

from collections.abc import Sequence

from companion.hearing.heard import HeardNote
from companion.hearing.notes.joining import TOUCHING_S
from companion.listen.model.played import Played, Sounded


def events_of(notes: Sequence[HeardNote]) -> tuple[Played, ...]:
    """The events of notes in order of time, and the silence after each that no other note follows at once."""
    events: list[Played] = []
    for rank, each in enumerate(notes):
        events.append(Sounded(each.at_s, each.note))
        after_s = notes[rank + 1].at_s if rank + 1 < len(notes) else None
        if after_s is None or after_s - each.stop_s > TOUCHING_S:
            events.append(Sounded(each.stop_s, None))
    return tuple(events)
