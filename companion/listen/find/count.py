"""Counts what happened in a take."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from companion.listen.find.extra.slips import CrossingHeard
from companion.listen.find.place.facts import (
    BegunAgain,
    Between,
    Fact,
    MelodyHeard,
    NoteMissed,
    NoteSounded,
    Skipped,
    WrongAfterGracenote,
)
from companion.listen.find.place.leaps import skipped_bars
from companion.listen.model.asked import Asked
from companion.listen.model.tally import Tally

_Fact = TypeVar("_Fact", bound=Fact)


def counted(asked: Asked, tally: Tally, facts: Sequence[Fact]) -> Tally:
    """Return the tally with more facts counted."""
    melodies, skips = _those(MelodyHeard, facts), _those(Skipped, facts)
    movements = [_is_clean(each) for each in _those(Between, facts) if each.is_movement]
    bars = [bar for each in skips for bar in skipped_bars(asked, each)]
    right = sum([each.segment.note is each.event.note for each in melodies]) - len(_those(WrongAfterGracenote, facts))
    places = [(each.event.played, each.segment.onset_s) for each in melodies if each.begins]
    return Tally(
        notes=tally.notes + len(melodies) + len(_those(NoteMissed, facts)),
        notes_right=tally.notes_right + right,
        gracenotes=tally.gracenotes + sum([each.group.asked_count for each in melodies]),
        gracenotes_right=tally.gracenotes_right + sum([each.group.right_count(each.segment) for each in melodies]),
        movements=tally.movements + len(movements),
        movements_clean=tally.movements_clean + sum(movements),
        heard_notes=tally.heard_notes + len(_those(NoteSounded, facts)),
        extras=tally.extras + sum([each.extra_count for each in _those(Between, facts) if _is_clean(each)]),
        leaps=tally.leaps + len(_those(BegunAgain, facts)) + len(skips),
        skipped_bars=(*tally.skipped_bars, *bars),
        places=(*tally.places, *places),
    )


def _those(sort: type[_Fact], facts: Sequence[Fact]) -> list[_Fact]:
    return [each for each in facts if isinstance(each, sort)]


def _is_clean(between: Between) -> bool:
    """Return whether no noise of a crossing was heard: then all extra notes were others."""
    return not any(isinstance(each, CrossingHeard) for each in between.slips)
