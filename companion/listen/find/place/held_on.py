"""Whether a note was held on for the time of one that did not sound of its own."""

from __future__ import annotations

from companion.listen.align.cost.costs import LEAST_HELD
from companion.listen.model.asked import Asked
from companion.listen.model.segments import Segment
from companion.schedule.events import EventKind
from fingering.notes import Note

GRACENOTE_UP_TO_S = 0.07
"""A good gracenote lasts no longer than 60 ms (common practice, no source), and fingers stray."""

HELD_THROUGH = 0.6
"""A note left out was held through by the one before if that sounded for this share of its time."""


def is_gracenote_alone(asked: Asked, heard: Segment, token: int, ratio: float | None) -> bool:
    """Return whether of a melody note and the next one's equal gracenote, which are one sound, only the gracenote was
    heard in a note, which is over: it is as short as one, and far too short for both.

    ratio: as in `is_too_short`.
    """
    if heard.end_s is None or ratio is None or heard.lasted_s() > GRACENOTE_UP_TO_S:
        return False
    melody, *graces = asked.events(token)
    are_both = melody.kind is EventKind.MELODY and [each.kind for each in graces] == [EventKind.GRACENOTE]
    return (
        are_both and heard.note is melody.note and heard.lasted_s() < ratio * _until_s(asked, token, token, LEAST_HELD)
    )


def is_too_short(asked: Asked, held: Segment, first: int, token: int, ratio: float | None) -> bool:
    """Return whether a note, which is over, ended before an equal melody note `token` was due, or soon after that.

    first: the token with which the held note began. ratio: seconds played for each asked one; None while unknown.
    """
    if held.end_s is None or ratio is None or not asked.tokens[token].is_melody:
        return False
    return held.end_s - held.onset_s < ratio * _until_s(asked, first, token, LEAST_HELD)


def held_through(asked: Asked, held: Segment | None, first: int, token: int, ratio: float | None) -> Note | None:
    """Return the note heard last if it was held on for most of the time of a token that was left out."""
    if held is None or held.end_s is None or ratio is None:
        return None
    return held.note if held.lasted_s() >= ratio * _until_s(asked, first, token, HELD_THROUGH) else None


def begun_before_s(
    asked: Asked, held: Segment | None, first: int, token: int, heard: Segment, ratio: float | None
) -> float | None:
    """Return when a melody note was due, in s, if it began for the one before it, which was left out, and sounded for
    both; else None.

    held: the note heard before, which began with token `first`. token: the note heard in `heard`, with others left out
    before it. ratio: as in `is_too_short`.
    """
    missed = next((each for each in range(token - 1, first, -1) if asked.tokens[each].is_melody), None)
    if held is None or ratio is None or missed is None or heard.end_s is None or not asked.tokens[token].is_melody:
        return None
    missed_s, due_s = (held.onset_s + ratio * later_s(asked, first, each) for each in (missed, token))
    began_before = abs(heard.onset_s - missed_s) < abs(heard.onset_s - due_s)
    alone_s, both_s = (ratio * _until_s(asked, each, token, 1.0) for each in (token, missed))
    return due_s if began_before and heard.lasted_s() > 0.5 * (alone_s + both_s) else None


def later_s(asked: Asked, first: int, token: int) -> float:
    """Return how much later one token is due than another, as asked for, in s."""
    return asked.tokens[token].start_s - asked.tokens[first].start_s


def _until_s(asked: Asked, first: int, token: int, share: float) -> float:
    """Return how long after `first` that share of a token is over, as asked for, in s."""
    length_s = asked.tokens[token].end_s - asked.tokens[token].start_s
    return later_s(asked, first, token) + share * length_s
