"""Where a learner stands in the tune: what must be known of the notes so far to tell what the next one means."""

from __future__ import annotations

from typing import NamedTuple

from companion.listen.find.gracenotes.group import GroupHeard
from companion.listen.find.place.facts import Fact, Stopped
from companion.listen.model.asked import Asked
from companion.listen.model.segments import Segment
from fingering.notes import Note

HELD_S = 0.25
"""A note this long, in s, was no gracenote; at most it was an equal note that a gracenote cannot be told from."""


class Arrival(NamedTuple):
    """A token as it was heard in a segment, the neighbour of what follows, and the melody note heard before it."""

    token: int
    segment: Segment
    melody_before: Note | None

    def last_melody(self, asked: Asked) -> Note | None:
        """Return the melody note heard last: this one, if it is one."""
        return self.segment.note if asked.tokens[self.token].is_melody else self.melody_before


class Position(NamedTuple):
    """What must be known of the notes so far to tell what the next one means.

    token: the one heard last, -1 before the first. held: the note in which it was heard, first: the token with
    which that note began. before: the neighbour of what follows. history: the last HISTORY_NOTES notes, the latest
    last. extras: extra notes since `token`, stops: silences before them that were long enough to be told. group: the
    gracenotes heard or missed since the last melody note, None if there were none. apart: whether what came before
    tells nothing about when the next melody note is due.
    """

    token: int = -1
    held: Segment | None = None
    first: int = -1
    before: Arrival | None = None
    history: tuple[Segment, ...] = ()
    extras: tuple[Segment, ...] = ()
    stops: tuple[Stopped, ...] = ()
    group: GroupHeard | None = None
    apart: bool = False

    def group_onto(self, played: int) -> GroupHeard:
        """Return the group of gracenotes onto a played note as far as it was heard; a new one if it was not."""
        return self.group if self.group is not None and self.group.played == played else GroupHeard(played)


Read = tuple[Position, tuple[Fact, ...]]
"""The position after something was heard, and what happened, in order."""


def melody_between(asked: Asked, left: int, token: int) -> list[int]:
    """Return the tokens of melody notes between two tokens, both left out."""
    return [each for each in range(left + 1, token) if asked.tokens[each].is_melody]
