"""Counts what happened in a take."""

from __future__ import annotations

from dataclasses import replace

from companion.listen.find.extra.slips import CrossingHeard
from companion.listen.find.place.facts import (
    BegunAgain,
    Between,
    Fact,
    MelodyHeard,
    NoteMissed,
    NoteSounded,
    Skipped,
)
from companion.listen.find.place.leaps import skipped_bars
from companion.listen.model.asked import Asked
from companion.listen.model.tally import Tally


def counted(asked: Asked, tally: Tally, fact: Fact) -> Tally:
    """Return the tally with one more fact counted."""
    match fact:
        case NoteSounded():
            return replace(tally, heard_notes=tally.heard_notes + 1)
        case BegunAgain():
            return replace(tally, leaps=tally.leaps + 1)
        case Skipped():
            bars = (*tally.skipped_bars, *skipped_bars(asked, fact))
            return replace(tally, leaps=tally.leaps + 1, skipped_bars=bars)
        case NoteMissed():
            return replace(tally, notes=tally.notes + 1)
        case Between():
            return _with_between(tally, fact)
        case MelodyHeard():
            return _with_melody(tally, fact)
    return tally


def _with_between(tally: Tally, between: Between) -> Tally:
    """Count a movement, and the extra notes that were no noise of it."""
    crossed = any(isinstance(each, CrossingHeard) for each in between.slips)
    return replace(
        tally,
        movements=tally.movements + between.is_movement,
        movements_clean=tally.movements_clean + (between.is_movement and not crossed),
        extras=tally.extras + (0 if crossed else between.extra_count),
    )


def _with_melody(tally: Tally, melody: MelodyHeard) -> Tally:
    """Count a melody note with its gracenotes, and keep where it was heard if it began there."""
    event, segment, group = melody.event, melody.segment, melody.group
    place = ((event.played, segment.onset_s),) if melody.begins else ()
    return replace(
        tally,
        notes=tally.notes + 1,
        notes_right=tally.notes_right + (segment.note is event.note),
        gracenotes=tally.gracenotes + group.asked_count,
        gracenotes_right=tally.gracenotes_right + group.right_count(segment),
        places=(*tally.places, *place),
    )
