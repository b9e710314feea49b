"""The notes on either side of what was heard between them, with the holes that they were asked with."""

from __future__ import annotations

from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.segments import Segment
from fingering.chart import chart, sounded
from fingering.holes import HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A note on one side of an extra one: its name in a movement, what was heard of it, the holes it was asked with.

    unmoved: for a gracenote, the same where the fingers under it had not yet left the melody note before.
    """

    note: Note
    segment: Segment
    holes: HoleState
    unmoved: Neighbour | None = None


def neighbour_before(asked: Asked, token: int, segment: Segment, melody_before: Note | None) -> Neighbour:
    """Return a token heard in a segment as the neighbour of what follows it: with the holes that it was asked to end
    in.

    melody_before: the melody note heard before a gracenote.
    """
    holes = _holes_of(asked, token, segment.note, ending=True)
    if asked.tokens[token].is_melody:
        return Neighbour(segment.note, segment, holes)
    return Neighbour(segment.note, segment, holes, _gracenote_unmoved(segment, melody_before))


def neighbour_after(asked: Asked, token: int, segment: Segment) -> Neighbour:
    """Return a token heard in a segment as the neighbour of what comes before it: with the holes asked for as it
    begins."""
    return Neighbour(segment.note, segment, _holes_of(asked, token, segment.note, ending=False))


def neighbour_of_its_own(segment: Segment) -> Neighbour:
    """Return an extra note that has another extra one before it: what it crosses from is its own fingering."""
    return Neighbour(segment.note, segment, chart(segment.note))


def _holes_of(asked: Asked, token: int, heard: Note, *, ending: bool) -> HoleState:
    """Return the holes a token was asked with, at its beginning or end; another note's own where another was heard."""
    held = asked.tokens[token]
    state = held.closes if ending else held.opens
    return state if sounded(state) is heard else chart(heard)


def _gracenote_unmoved(segment: Segment, melody_before: Note | None) -> Neighbour | None:
    """Return a gracenote as it is fingered over the melody note before it, in that note's name; None if it is not."""
    if melody_before is None or segment.note is melody_before:
        return None
    (state,) = gracenote_states([segment.note], melody_before)
    return Neighbour(melody_before, segment, state) if sounded(state) is segment.note else None
