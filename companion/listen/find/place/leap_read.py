"""What a leap in the tune means: a stretch skipped, a note, a bar or the tune begun again."""

from __future__ import annotations

from companion.listen.find.gracenotes.group import GraceHeard, GroupHeard
from companion.listen.find.place.facts import BegunAgain, BegunElsewhere, NoteAgain, Skipped
from companion.listen.find.place.standing import HELD_S, Position, Read, melody_between
from companion.listen.model.asked import Asked
from companion.listen.model.segments import Segment
from companion.schedule.events import EventKind

LEAP_NOTES = 4
"""This many melody notes left out in a row are a stretch skipped, told once."""


def is_leap(asked: Asked, position: Position, token: int) -> bool:
    """Return whether going on at `token` is going back, or skipping a stretch."""
    return token < position.token or len(melody_between(asked, position.token, token)) >= LEAP_NOTES


def begins_note_again(asked: Asked, position: Position, token: int) -> bool:
    """Return whether the melody note heard last begins again with its gracenotes."""
    left = position.token
    return token < left and asked.tokens[left].is_melody and asked.melody_of(token) == asked.melody_of(left)


def leap_to(asked: Asked, position: Position, segment: Segment, token: int) -> Read:
    """Read a leap to a token, which was heard in `segment`."""
    # Of a group that a leap cuts off nothing is said: its melody note never came.
    landed = position._replace(group=None, apart=True)
    if position.token < 0 or _plays_again(asked, position, token):
        return landed, (BegunElsewhere(),)
    if token > position.token:
        return landed, (Skipped(segment, position.token, token),)
    group = _sounds_now(asked, position, token)
    if group is not None:
        landed = landed._replace(group=group, extras=position.extras[:-1])
        begun = BegunAgain(group.graces[0].segment, position.token, token, position.history[:-1])
        return landed, (begun,)
    group = _swallowed_beginning(asked, position, token)
    return landed._replace(group=group), (BegunAgain(segment, position.token, token, position.history),)


def _plays_again(asked: Asked, position: Position, token: int) -> bool:
    """Return whether the tune begins anew after its end; its first note may be swallowed by an equal last one."""
    held = position.held
    swallowed = token == 1 and held is not None and held.note is asked.tokens[0].note
    return (token == 0 or swallowed) and position.token == len(asked.tokens) - 1


def note_again(asked: Asked, position: Position, segment: Segment, token: int) -> Read:
    """Read a note that begins again with its gracenotes, from that token on. The first of them may be swallowed by the
    note itself, held before, or sound now where the note before swallowed it at first."""
    played = asked.melody_of(token)
    event = asked.events(token - 1)[-1] if token else None
    if event is None or event.played != played or event.kind is not EventKind.GRACENOTE or position.held is None:
        return position._replace(group=None, apart=True), (NoteAgain(segment, played),)
    group = _sounds_now(asked, position, token)
    if group is not None:
        begun = NoteAgain(group.graces[0].segment, played)
        return position._replace(group=group, extras=position.extras[:-1], apart=True), (begun,)
    group = GroupHeard(played, swallowed=1) if event.note is position.held.note else None
    return position._replace(group=group, apart=True), (NoteAgain(segment, played),)


def _sounds_now(asked: Asked, position: Position, token: int) -> GroupHeard | None:
    """Return the group onto a note begun again with its second gracenote, if the first was heard just before, as a note
    too many: the note before it in the tune had swallowed it; else None."""
    if not token or not position.extras:
        return None
    event, last = asked.events(token - 1)[-1], position.extras[-1]
    is_its_own = event.kind is EventKind.GRACENOTE and event.played == asked.melody_of(token)
    if not is_its_own or last.note is not event.note or last.lasted_s() >= HELD_S:
        return None
    return GroupHeard(event.played).with_grace(GraceHeard(event, last, alone=True))


def _swallowed_beginning(asked: Asked, position: Position, token: int) -> GroupHeard | None:
    """Return the group of a bar begun again if the note held before swallowed its first gracenote, else None."""
    if token - 1 not in asked.bar_starts or position.held is None:
        return None
    event = asked.events(token - 1)[-1]
    if event.kind is not EventKind.GRACENOTE or event.note is not position.held.note:
        return None
    return GroupHeard(event.played, swallowed=1)
