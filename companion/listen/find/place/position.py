"""Where in the tune a learner is, from one settled step of the alignment to the next, and what happened on the way."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from companion.listen.align.cost.hearing import is_gracenote_short
from companion.listen.align.reading.steps import Reading, ReadStep
from companion.listen.find.extra.neighbour import Neighbour, neighbour_after, neighbour_before
from companion.listen.find.extra.slips import NOTE_FROM_S, ExtraHeard, slips_of
from companion.listen.find.gracenotes.group import GraceHeard, GroupHeard
from companion.listen.find.place.facts import (
    AfterLast,
    Between,
    Fact,
    MelodyHeard,
    NoteAgain,
    NoteMissed,
    NoteSounded,
    Stopped,
    WrongAfterGracenote,
)
from companion.listen.find.place.held_on import begun_before_s, held_through, is_gracenote_alone, is_too_short, later_s
from companion.listen.find.place.leap_read import begins_note_again, is_leap, leap_to, note_again
from companion.listen.find.place.standing import HELD_S, Arrival, Position, Read, melody_between
from companion.listen.model.asked import Asked, is_headed
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Limits
from companion.schedule.events import EventKind

LAST_NOTES = 1
"""A take that ends with so many melody notes to come left them out; with more it was broken off."""

HISTORY_NOTES = 24
"""How many heard notes back to look for where someone really began again."""

_SOUNDED = NoteSounded()


def read_step(
    asked: Asked,
    limits: Limits,
    position: Position,
    step: ReadStep,
    ratio: float | None = None,
    begun_again_s: Collection[float] = (),
) -> Read:
    """Read one settled step of the alignment. Its segment may still be sounding: only what came before it is over.

    ratio: seconds played for each asked one, as heard lately; None before that is known. begun_again_s: when a first
    hearing found notes to have been begun again, in s.
    """
    position, facts = _run_on(asked, position, step.ran_on, ratio)
    facts = (_SOUNDED, *facts)
    stops = (*position.stops, *_stopped(asked, limits, position, step))
    if step.reading is Reading.EXTRA:
        extras = (*position.extras, step.segment)
        return position._replace(extras=extras, stops=stops, history=_remembered(position, step.segment)), facts
    first, *others = step.tokens
    again = step.reading is Reading.RESUME and _is_played_again(asked, position, step.segment, begun_again_s)
    if again:
        begun = (*position.extras, step.segment)[0]
        facts += (NoteAgain(begun, asked.melody_of(first)),)
        position = position._replace(extras=(), apart=True)
    else:
        facts += stops
        if position.extras and step.reading is Reading.MATCH:
            position, wrong = _wrong_after_gracenote(asked, position)
            facts += wrong
    leapt, due_s = position.token < 0 or is_leap(asked, position, first), None
    if step.reading is Reading.MATCH:
        if not leapt and first > position.token + 1:
            due_s = begun_before_s(asked, position.held, position.first, first, step.segment, ratio)
        position, reached = _reach(asked, position, step.segment, first, ratio)
        facts += reached
    position, between = _between(asked, limits, position, step)
    facts += between
    group, apart = position.group, position.apart
    if step.reading is Reading.MATCH:
        if not others and is_gracenote_alone(asked, step.segment, first, ratio):
            group, apart, heard = _hear_gracenote_alone(asked, step.segment, first, leapt=leapt)
        else:
            group, apart, heard = _hear(
                asked, position, step.segment, first, alone=not others, begins=due_s is None, due_s=due_s
            )
        facts = (*facts, *heard)
    extras, history = position.extras, _remembered(position, step.segment)
    if not others:
        before = _arrived(asked, position.before, first, step.segment)
        return Position(first, step.segment, first, before, history, extras, (), group, apart), facts
    position = Position(first, step.segment, first, position.before, history, extras, (), group, apart)
    position, swallowed = _run_on(asked, position, others, ratio)
    before = _arrived(asked, position.before, position.token, step.segment)
    return position._replace(before=before), facts + swallowed


def _is_played_again(asked: Asked, position: Position, segment: Segment, begun_again_s: Collection[float]) -> bool:
    """Return whether a note that goes on was begun anew: after a stop, with its last gracenotes, all of them or none;
    without a stop only with all of several, or where a first hearing found it."""
    if position.extras and position.extras[0].onset_s in begun_again_s:
        return True
    played = asked.melody_of(position.token)
    graces, extras = asked.played(played).note.gracenotes, [each.note for each in position.extras]
    if not asked.tokens[position.token].is_melody or extras != list(graces[len(graces) - len(extras) :]):
        return False
    stopped = any(each.silence_s for each in (*position.extras, segment))
    return stopped or (len(extras) > 1 and len(extras) == len(graces))


def read_end(asked: Asked, limits: Limits, position: Position) -> tuple[Fact, ...]:
    """Read the end of a take: extra notes may have followed the last asked one, or the last notes were left out."""
    position, wrong = _wrong_after_gracenote(asked, position)
    if not position.extras:
        return (*position.stops, *wrong, *_ended_early(asked, position))
    slips = slips_of(limits, position.extras, before=_as_neighbour(asked, position.before), after=None)
    return (*position.stops, *wrong, AfterLast(asked.melody_of(max(position.token, 0)), slips))


def _wrong_after_gracenote(asked: Asked, position: Position) -> Read:
    """Read the first extra note, where it is as long as a melody note, as played for the one before: of that only its
    last gracenote was heard, which sounds like it."""
    token, held = position.token, position.held
    if token < 0 or held is None or not position.extras or not is_headed(asked.tokens[token]):
        return position, ()
    wrong, *others = position.extras
    is_alone = held.note is asked.tokens[token].note and is_gracenote_short(held)
    if not is_alone or wrong.silence_s or wrong.lasted_s() < NOTE_FROM_S:
        return position, ()
    event = asked.events(token)[-1]
    before = _arrived(asked, position.before, token, wrong)
    return position._replace(held=wrong, before=before, extras=tuple(others)), (WrongAfterGracenote(event, wrong),)


def _ended_early(asked: Asked, position: Position) -> tuple[Fact, ...]:
    """Return the last melody notes of the tune as left out if they are few; with more the take simply ends before."""
    held, left = position.held, melody_between(asked, position.token, len(asked.tokens))
    if held is None or held.end_s is None or len(left) > LAST_NOTES:
        return ()
    events = (event for token in left for event in asked.events(token) if event.kind is EventKind.MELODY)
    return tuple(NoteMissed(event, held.end_s) for event in events)


def _run_on(asked: Asked, position: Position, tokens: Sequence[int], ratio: float | None) -> Read:
    """Read tokens that the note heard last stands for as well: what should have parted them was left out."""
    facts: tuple[Fact, ...] = ()
    for token in tokens:
        held = position.held
        assert held is not None
        if is_too_short(asked, held, position.first, token, ratio) and not melody_between(asked, position.token, token):
            position, missed = _miss(asked, position, range(position.token + 1, token + 1), _end_s(held))
            position, facts = position._replace(token=token), facts + missed
        else:
            due_s = held.onset_s + (ratio or 0.0) * later_s(asked, position.first, position.token + 1)
            position, missed = _miss(asked, position, range(position.token + 1, token), due_s)
            group, apart, heard = _hear(asked, position, held, token, begins=False, due_s=due_s)
            before = _arrived(asked, position.before, token, held)
            position = position._replace(token=token, before=before, group=group, apart=apart)
            facts = (*facts, *missed, *heard)
    return position, facts


def _end_s(held: Segment) -> float:
    return held.onset_s + held.lasted_s()


def _arrived(asked: Asked, before: Arrival | None, token: int, segment: Segment) -> Arrival:
    """Return a token, heard in a segment after what was `before`, as the neighbour of what follows."""
    return Arrival(token, segment, None if before is None else before.last_melody(asked))


def _as_neighbour(asked: Asked, before: Arrival | None) -> Neighbour | None:
    return None if before is None else neighbour_before(asked, *before)


def _remembered(position: Position, segment: Segment) -> tuple[Segment, ...]:
    return (*position.history, segment)[-HISTORY_NOTES:]


# --- stops and leaps ---


def _stopped(asked: Asked, limits: Limits, position: Position, step: ReadStep) -> tuple[Stopped, ...]:
    """Read the silence before a note."""
    if not step.segment.silence_s or step.segment.silence_s * 1000.0 < limits.break_ms:
        return ()
    following = step.tokens[0] if step.tokens else position.token
    is_fault = position.token >= 0 and not _rest_due(asked, following) and not is_leap(asked, position, following)
    return (Stopped(step.segment, asked.melody_of(following) if is_fault else None),)


def _rest_due(asked: Asked, token: int) -> bool:
    """Return whether a rest is written before a token or within it."""
    held = asked.tokens[token]
    return held.after_rest or any(
        each.kind is EventKind.REST for each in asked.schedule.events[held.first : held.last + 1]
    )


def _reach(asked: Asked, position: Position, segment: Segment, token: int, ratio: float | None) -> Read:
    """Come to a new token: what lies between it and the last one was left out, skipped, or is played again."""
    if token == position.token + 1:
        return position, ()
    if begins_note_again(asked, position, token):
        return note_again(asked, position, segment, token)
    if is_leap(asked, position, token):
        return leap_to(asked, position, segment, token)
    return _miss(asked, position, range(position.token + 1, token), segment.onset_s, ratio)


# --- what was left out, what was extra, what was heard ---


def _miss(asked: Asked, position: Position, tokens: Sequence[int], at_s: float, ratio: float | None = None) -> Read:
    """Read tokens that were left out before a note at `at_s`. ratio: as in `read_step`."""
    facts: list[Fact] = []
    for token, event in ((each, event) for each in tokens for event in asked.events(each)):
        if event.kind is EventKind.GRACENOTE:
            held = None if position.held is None else position.held.note
            position = position._replace(group=position.group_onto(event.played).with_lost(event, held))
        else:
            before = None if position.extras else position.held
            facts.append(NoteMissed(event, at_s, held_through(asked, before, position.first, token, ratio)))
            position = position._replace(group=None, apart=True)
    return position, tuple(facts)


def _between(asked: Asked, limits: Limits, position: Position, step: ReadStep) -> Read:
    """Read the extra notes before a step's first token."""
    token, before, after = step.tokens[0], position.before, step.segment
    moved = step.reading is Reading.MATCH and before is not None and before.segment.note is not after.note
    played = asked.events(token)[0].played
    if not position.extras:
        return position, (Between(played, (), 0, moved),)
    extras, group = _not_asked(asked, position), position.group
    if group is not None and group.played == played and (found := group.with_found(extras, HELD_S)) is not group:
        position, extras = position._replace(group=found), ()
    neighbours = _as_neighbour(asked, before), neighbour_after(asked, token, after)
    slips = slips_of(limits, extras, before=neighbours[0], after=neighbours[1])
    position = position._replace(extras=())
    if any(isinstance(each, ExtraHeard) and each.is_melody for each in slips):
        position = position._replace(apart=True)
    elif extras and step.reading is Reading.MATCH:
        position = position._replace(group=position.group_onto(played).disturbed(extras[0].onset_s))
    return position, (Between(played, slips, len(extras), moved),)


def _not_asked(asked: Asked, position: Position) -> tuple[Segment, ...]:
    """Return the extra notes without a gracenote that the note before, as asked, would have swallowed: it is heard
    where another note was played."""
    extras = position.extras
    if not extras or position.token < 0:
        return extras
    tail, last = asked.events(position.token)[-1], extras[-1]
    is_asked = tail.kind is EventKind.GRACENOTE and tail.note is last.note and last.lasted_s() < HELD_S
    return extras[:-1] if is_asked else extras


def _hear_gracenote_alone(
    asked: Asked, segment: Segment, token: int, *, leapt: bool
) -> tuple[GroupHeard, bool, list[Fact]]:
    """Read a token of which only the gracenote after its melody note was heard; returns as `_hear` does.

    leapt: whether the learner came from elsewhere in the tune: then the melody note was not to be played.
    """
    melody, grace = asked.events(token)
    group = GroupHeard(grace.played).with_grace(GraceHeard(grace, segment, alone=True))
    return group, True, [] if leapt else [NoteMissed(melody, segment.onset_s)]


def _hear(
    asked: Asked,
    position: Position,
    segment: Segment,
    token: int,
    *,
    alone: bool = False,
    begins: bool = True,
    due_s: float | None = None,
) -> tuple[GroupHeard | None, bool, list[Fact]]:
    """Read a token heard in a segment; returns the group and `apart` of the position after it, and what happened.

    begins: whether the segment began with it. alone: whether it is the only one. due_s: when what should have parted it
    from the one before was due; None where it began of itself.
    """
    facts: list[Fact] = []
    group, apart, events = position.group, position.apart, asked.events(token)
    if is_headed(asked.tokens[token]) and segment.note is not events[0].note and segment.lasted_s() >= NOTE_FROM_S:
        # A wrong note, played without the gracenote that sounds like the right one.
        group = position.group_onto(events[1].played).with_swallowed_by(segment)
        return None, apart and not begins, [MelodyHeard(events[1], segment, group, begins, apart, due_s)]
    for rank, event in enumerate(events):
        begun = begins and rank == 0
        group = group if group is not None and group.played == event.played else GroupHeard(event.played)
        if event.kind is EventKind.MELODY:
            if group.missing:
                group = group.sorted_out()
            if segment.note is not event.note:
                group = group.before_other_note(segment.note)
            facts.append(MelodyHeard(event, segment, group, begun, apart, due_s))
            group, apart = None, apart and not begun
        elif begun:
            group = group.with_grace(GraceHeard(event, segment, alone and len(events) == 1))
        else:
            group = group.with_swallowed_by(segment)
    return group, apart, facts
