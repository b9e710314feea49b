"""What the length and the time of a heard note tell, and whether it may be one that goes on, wherever in the tune."""

from __future__ import annotations

import math
from typing import overload

from companion.listen.align.cost import costs
from companion.listen.align.cost.arrays import Floats
from companion.listen.model.segments import SETTLED_S, Segment

SHORTEST_HELD_S = 0.05
"""A note no longer than this cannot stand for two equal notes in a row with the gracenote between them left out: it is
as short as a gracenote."""


def extra_share(lasted_s: float) -> float:
    """Return how far an extra note is from a short one (0) to one as long as a melody note (1)."""
    return min(1.0, max(0.0, (lasted_s - costs.SHORT_S) / (SETTLED_S - costs.SHORT_S)))


def long_share(lasted_s: float) -> float:
    """Return how far a note is from the length of a gracenote (0) to that of a melody note (1)."""
    return min(1.0, max(0.0, (lasted_s - costs.LONG_GRACENOTE_FROM_S) / (SETTLED_S - costs.LONG_GRACENOTE_FROM_S)))


def held_cost(segment: Segment, slowed: float) -> float:
    """Return what it costs more to leave out a melody note after its gracenote, now that this one is over.

    Until it is over a note is taken to be no longer than `segments.SETTLED_S`: only then it is known whether a
    gracenote was held. slowed: how many times longer than at speed gracenotes were shown.
    """
    share = min(1.0, (segment.lasted_s() / slowed - costs.HELD_FROM_S) / (costs.HELD_TO_S - costs.HELD_FROM_S))
    return costs.HELD_GRACENOTE * share if share > 0.0 else 0.0


def held_onto_share(segment: Segment) -> float:
    """Return how many times as much, at most, it costs that its melody note is this one, the more the nearer that is to
    the length of a gracenote."""
    share = (costs.SHORT_S - segment.lasted_s()) / (costs.SHORT_S - costs.HELD_ONTO_UP_TO_S)
    return costs.HELD_ONTO_SHORT / costs.HELD_GRACENOTE * min(1.0, max(0.0, share))


def is_gracenote_short(segment: Segment) -> bool:
    """Return whether a note that is over was as short as a gracenote."""
    return segment.end_s is not None and segment.lasted_s() <= costs.SHORT_S


def stretch(ratio: float | None) -> float:
    """Return the doublings of asked lengths at a tempo, played seconds for each asked second."""
    return math.log2(ratio or 1.0)


def shortening(lasted_s: float) -> float:
    """Return what a note of this length takes off the cost of being shorter than asked: each doubling of it beyond
    half a second takes off one halving, and half of what was asked for is long enough."""
    return costs.SHORTENED_NOTE * math.log2(2.0 * lasted_s)


def may_go_on(segment: Segment, before: Segment | None) -> bool:
    """Return whether any note may go on with this one; otherwise only one that something else has interrupted.

    Any may after a silence, or where the same note is heard twice running.
    """
    return segment.silence_s > 0.0 or (before is not None and segment.note is before.note)


def resume_cost(segment: Segment, before: Segment | None) -> float:
    """Return what it costs that a note goes on, by the note between."""
    stood_still = before is not None and not may_go_on(segment, before) and before.lasted_s() >= SETTLED_S
    return costs.RESUME_AFTER_NOTE if stood_still else costs.RESUME


def note_again_cost(segment: Segment) -> float:
    """Return what it costs that a note begins again with the first gracenote of its embellishment, this one."""
    return costs.NOTE_AGAIN - (costs.STOP_BEFORE_BEGINNING if segment.silence_s >= costs.STOP_S else 0.0)


@overload
def off_time_per_s(expected_s: float) -> float: ...
@overload
def off_time_per_s(expected_s: Floats) -> Floats: ...
def off_time_per_s(expected_s: float | Floats) -> float | Floats:
    """Return what each second costs by which a note is off its time."""
    return costs.OFF_TIME / (costs.OFF_TIME_SHARE * expected_s + costs.OFF_TIME_S)
