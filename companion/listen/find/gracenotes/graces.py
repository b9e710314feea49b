"""Findings from the gracenotes that lead onto one melody note: missing, wrong, long, uneven."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import mean

from companion.listen.find.gracenotes.group import GraceHeard, GroupHeard
from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.segments import Segment
from companion.listen.model.strictness import Limits
from companion.listen.model.words import (
    a_gracenote,
    bar_words,
    grace_name,
    letters,
    listed,
    named,
    place_of,
    seconds_words,
)
from companion.schedule.events import Event
from fingering.chart import chart
from fingering.holes import Finger

HELD_MS = 150.0
"""A gracenote as long as this is heard as a note of its own (as `segments.SETTLED_S`)."""

ONE_FELLOW = 1.155
"""How many times further than from the mean of two fellows a gracenote must be from its only one to stray as little by
chance: the root of 2 / 1.5, for the difference of two that stray alike has twice the variance of one, that from a mean
of two one and a half times."""


def group_findings(
    asked: Asked, limits: Limits, group: GroupHeard, melody: Segment, *, due_s: float | None = None
) -> list[Finding]:
    """Return what there is to say of a group once its melody note has begun, or a held note, `melody`, swallowed it.

    due_s: when the group was due, where the melody note was swallowed; None where it began.
    """
    found: list[Finding] = []
    if not group.graces and not group.missing:
        return found
    if group.missing:
        found.append(_missing(asked, group, melody.onset_s if due_s is None else due_s))
    found += [_wrong(asked, group, each) for each in group.graces if each.segment.note is not each.event.note]
    timed = [each for each in group.graces if each.alone and each.segment is not melody]
    lengths_ms = [_relative_ms(asked, each) for each in timed]
    long = [each for each, length_ms in zip(timed, lengths_ms, strict=True) if length_ms >= limits.gracenote_ms]
    found += [_long(asked, group, each) for each in long]
    if not long and due_s is None:
        played_ms = [max(1.0, each - limits.lengthened_ms) for each in lengths_ms]
        found += _uneven(asked, limits, group, timed, played_ms)
    return found


def _relative_ms(asked: Asked, grace: GraceHeard) -> float:
    """Return how long a gracenote was, in ms, as if all of its group had been written equally long."""
    written, lasted_ms = asked.played(grace.event.played).note.grace_lengths, grace.segment.lasted_s() * 1000.0
    return lasted_ms / float(written[grace.event.grace or 0]) if written else lasted_ms


def _fingers_of(asked: Asked, gracenote: Event) -> tuple[Finger, ...]:
    """Return the fingers that make a gracenote: those that move between it and what follows."""
    following = asked.schedule.events[_rank(asked, gracenote) + 1]
    return gracenote.state.moves_to(following.state)


def _rank(asked: Asked, gracenote: Event) -> int:
    """Return the rank of a gracenote among the events; its melody note always follows it."""
    token = asked.note_tokens[gracenote.played]
    assert token is not None
    return next(rank for rank in range(asked.tokens[token].last, -1, -1) if asked.schedule.events[rank] is gracenote)


def _missing(asked: Asked, group: GroupHeard, at_s: float) -> Finding:
    events = group.missing
    notes = [event.note for event in events]
    bar, place = bar_words(asked, group.played), place_of(asked, group.played)
    total = len(asked.played(group.played).note.gracenotes)
    if len(notes) == total:
        text = f"{bar}: {place} was left out."
    elif len(notes) == 1:
        text = f"{bar}: {grace_name(notes[0])} was missing from {place}."
    else:
        text = f"{bar}: {named(notes)} were missing from {place}."
    return finding_at(
        asked,
        group.played,
        FindingKind.MISSING_GRACENOTE,
        at_s=at_s,
        wanted=letters(notes),
        fingers=_fingers_of(asked, events[0]),
        text=text,
        cause=(FindingKind.MISSING_GRACENOTE, letters(notes), asked.schedule.embellishments[group.played]),
    )


def _wrong(asked: Asked, group: GroupHeard, grace: GraceHeard) -> Finding:
    wanted, heard = grace.event.note, grace.segment.note
    place = place_of(asked, group.played)
    text = f"{bar_words(asked, group.played)}: {heard.label} was heard for {wanted.label} in {place}."
    if len(asked.played(group.played).note.gracenotes) == 1:
        text = f"{bar_words(asked, group.played)}: {a_gracenote(heard)} was heard for {place}."
    return finding_at(
        asked,
        group.played,
        FindingKind.WRONG_GRACENOTE,
        at_s=grace.segment.onset_s,
        wanted=wanted.letter,
        heard=heard.letter,
        fingers=chart(wanted).moves_to(chart(heard)),
        ms=grace.segment.lasted_s() * 1000.0,
        text=text,
        cause=(FindingKind.WRONG_GRACENOTE, wanted, heard, asked.schedule.embellishments[group.played]),
    )


def _long(asked: Asked, group: GroupHeard, grace: GraceHeard) -> Finding:
    note = grace.event.note
    lasted_ms = grace.segment.lasted_s() * 1000.0
    place = place_of(asked, group.played)
    one = len(asked.played(group.played).note.gracenotes) == 1
    what = place if one else f"in {place} the {note.label}"
    as_note = ", as long as a note" if lasted_ms >= HELD_MS else ""
    lasted = f"{what} lasted {seconds_words(lasted_ms)}{as_note}"
    text = f"{bar_words(asked, group.played)}: {lasted}; lift the finger and be back at once."
    return finding_at(
        asked,
        group.played,
        FindingKind.LONG_GRACENOTE,
        at_s=grace.segment.onset_s,
        wanted=note.letter,
        heard=grace.segment.note.letter,
        fingers=_fingers_of(asked, grace.event),
        ms=lasted_ms,
        text=text,
        cause=(FindingKind.LONG_GRACENOTE, note, asked.schedule.embellishments[group.played]),
    )


def _uneven(
    asked: Asked, limits: Limits, group: GroupHeard, timed: list[GraceHeard], lengths_ms: list[float]
) -> list[Finding]:
    if len(timed) < 2 or max(lengths_ms) - min(lengths_ms) < limits.uneven_ms:
        return []
    strays = [(abs(by_ms), by_ms, rank) for rank, by_ms in enumerate(_strays_ms(lengths_ms, limits)) if by_ms]
    if not strays:
        return []
    stray_ms, by_ms, rank = max(strays)
    late = _fingers_of(asked, timed[rank].event) if by_ms > 0.0 else ()
    played = listed([f"{length:.0f}" for length in lengths_ms])
    place = place_of(asked, group.played)
    text = f"{bar_words(asked, group.played)}: {place} was uneven, {played} ms; make its gracenotes alike."
    notes = [each.event.note for each in timed]
    return [
        finding_at(
            asked,
            group.played,
            FindingKind.UNEVEN,
            at_s=timed[0].segment.onset_s,
            wanted=letters(notes),
            heard=letters(notes),
            ms=stray_ms,
            text=text,
            cause=(FindingKind.UNEVEN, asked.schedule.embellishments[group.played]),
            late=late,
        )
    ]


def _strays_ms(lengths_ms: Sequence[float], limits: Limits) -> Iterator[float]:
    """Yield by how many ms each gracenote is longer than the mean of its fellows, or shorter (below 0), in order; 0
    where it is like them.
    """
    one_fellow = ONE_FELLOW if len(lengths_ms) == 2 else 1.0
    least_ms, least_ratio = limits.uneven_ms * one_fellow, limits.uneven_ratio**one_fellow
    for rank, length_ms in enumerate(lengths_ms):
        fellows_ms = mean([*lengths_ms[:rank], *lengths_ms[rank + 1 :]])
        short, long = sorted((length_ms, fellows_ms))
        strays = long >= least_ratio * short and long - short >= least_ms
        yield length_ms - fellows_ms if strays else 0.0
