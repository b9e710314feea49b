"""Extra notes between two asked ones: crossing noises with their finger, gracenotes and notes of one's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.findings import CrossingDetail, Finding, FindingKind, finding_at
from companion.listen.model.segments import HoleChange, Segment
from companion.listen.model.strictness import Limits
from companion.listen.model.words import a_gracenote, bar_words, finger_words, grace_name, letters, named
from fingering.chart import chart, sounded
from fingering.crossings.blame import Explanation, explain, explain_states
from fingering.holes import Finger, HoleState
from fingering.movement import gracenote_states
from fingering.notes import Note

NOTE_FROM_S = 0.1
"""An extra note this long is one of melody: longer than a gracenote may be, shorter than most melody notes."""

CROSSING_UP_TO_S = 0.125
"""Fingers further apart than this do not belong to one movement: then it was another note."""

CROSSING_NOTES = 3
"""No crossing passes more notes than this that can be told apart."""

SETTLING_S = 0.08
"""Fingers still on the way this long after the new note began belong to its crossing."""

SURE = 0.8
"""A finger that is known with less certainty is named as the likely one: notes alone do not always tell."""

SHARED_BLAME = 0.5
"""A finger that was off its time by less than this share of what the guiltiest was is innocent."""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A note on one side of an extra one: its name in a movement, what was heard of it, the holes it was asked with.

    unmoved: for a gracenote, the same where the fingers under it had not yet left the melody note before.
    """

    note: Note
    segment: Segment
    holes: HoleState
    unmoved: Neighbour | None = None


def extra_findings(
    asked: Asked,
    limits: Limits,
    extras: Sequence[Segment],
    *,
    before: Neighbour | None,
    after: Neighbour | None,
    played: int,
) -> list[Finding]:
    """What extra notes in a row were, between two neighbours (None where the take begins or ends)."""
    audible = [each for each in extras if _ms(each) >= limits.crossing_ms]
    if not extras or sum(map(_ms, extras)) < limits.crossing_ms:
        return []
    if before is not None and after is not None and _may_cross(before, after, extras):
        found = _crossing(asked, limits, extras, before, after, played)
        if found is None and before.unmoved is not None and _may_cross_unmoved(before.unmoved, after, extras):
            found = _crossing(asked, limits, extras, before.unmoved, after, played)
        if found is not None:
            return [found]
        if len(audible) > 1:
            return _one_by_one(asked, limits, audible, before, after, played)
    return [_extra(asked, each, before, after, played) for each in audible]


def _ms(segment: Segment) -> float:
    return segment.lasted_s() * 1000.0


def _may_cross(before: Neighbour, after: Neighbour, extras: Sequence[Segment]) -> bool:
    lasted_s = sum(each.lasted_s() for each in extras)
    stopped = any(each.silence_s for each in (*extras, after.segment))
    return (
        lasted_s <= CROSSING_UP_TO_S and len(extras) <= CROSSING_NOTES and not stopped and before.holes != after.holes
    )


def _may_cross_unmoved(unmoved: Neighbour, after: Neighbour, extras: Sequence[Segment]) -> bool:
    """The melody note before, heard again, is no noise: then the gracenote came too soon."""
    return unmoved.holes != after.holes and all(each.note is not unmoved.note for each in extras)


def _one_by_one(
    asked: Asked, limits: Limits, extras: Sequence[Segment], before: Neighbour, after: Neighbour, played: int
) -> list[Finding]:
    """Several that make no one crossing: each on its own, a crossing only where it touches the note it leads to."""
    found: list[Finding] = []
    for rank, each in enumerate(extras):
        nearer = Neighbour(each.note, each, chart(each.note))
        left = before if rank == 0 else nearer
        found += extra_findings(asked, limits, [each], before=left, after=after, played=played)
    return found


# --- crossings ---


def _crossing(
    asked: Asked, limits: Limits, extras: Sequence[Segment], before: Neighbour, after: Neighbour, played: int
) -> Finding | None:
    told = all(each.holes for each in (before.segment, *extras, after.segment))
    explanation = (_from_fingers if told else _from_notes)(extras, before, after)
    if explanation is None or not explanation.slips:
        return None
    one, other = before.note, after.note
    heard = [each.note for each in extras]
    slip = explanation.slips[0]
    detail = CrossingDetail(
        one.letter, other.letter, explanation.sort.value, slip.finger, slip.ms, explanation.probability
    )
    likely = "" if explanation.probability >= SURE else "probably "
    when = "late" if slip.ms > 0.0 else "early"
    text = (
        f"{bar_words(asked, played)}: between {one.label} and {other.label} {likely}{finger_words(slip.finger)} "
        f"was {abs(slip.ms):.0f} ms {when}; {named(heard)} {'was' if len(heard) == 1 else 'were'} heard."
    )
    return finding_at(
        asked,
        played,
        FindingKind.CROSSING,
        at_s=extras[0].onset_s,
        wanted=other.letter,
        heard=letters(heard),
        fingers=_guilty(explanation, limits),
        ms=sum(map(_ms, extras)),
        text=text,
        place=f"{one.label} to {other.label}",
        cause=("crossing", one, other),
        crossing=detail,
    )


def _guilty(explanation: Explanation, limits: Limits) -> tuple[Finger, ...]:
    """The fingers to blame, the guiltiest first: not those that were hardly off their time."""
    first, *others = explanation.slips
    least_ms = max(limits.crossing_ms, SHARED_BLAME * abs(first.ms))
    return (first.finger, *(slip.finger for slip in others if abs(slip.ms) >= least_ms))


def _from_notes(extras: Sequence[Segment], before: Neighbour, after: Neighbour) -> Explanation | None:
    heard = [(each.note, _ms(each)) for each in extras]
    return next(iter(explain(before.holes, after.holes, heard)), None)


def _from_fingers(extras: Sequence[Segment], before: Neighbour, after: Neighbour) -> Explanation | None:
    """The true finger, where the holes themselves were told; none where a finger moved that had no part in it."""
    began_s = after.segment.onset_s
    late = [change for change in after.segment.holes if change.at_s - began_s <= SETTLING_S]
    passed = [*(change for each in extras for change in each.holes), *_until_settled(late, after.holes)]
    start, early = _settled_start(before)
    states = [(change.at_s * 1000.0, change.state) for change in (*early, *passed)]
    if not states or states[-1][1] == start:
        return None
    end = states[-1][1]
    if any((state ^ start) & ~(start ^ end) for _, state in states):
        return None
    return explain_states(start, states)


def _until_settled(changes: Sequence[HoleChange], holes: HoleState) -> Sequence[HoleChange]:
    settled = next((rank for rank, change in enumerate(changes) if change.state == holes), len(changes) - 1)
    return changes[: settled + 1]


def _settled_start(before: Neighbour) -> tuple[HoleState, Sequence[HoleChange]]:
    """The state in which the note before was held, and what moved before it ended."""
    changes = before.segment.holes
    end_s = before.segment.end_s if before.segment.end_s is not None else changes[-1].at_s
    for rank in range(len(changes) - 1, -1, -1):
        if changes[rank].state == before.holes:
            return before.holes, changes[rank + 1 :]
        if end_s - changes[rank].at_s > SETTLING_S:
            return changes[rank].state, changes[rank + 1 :]
    return changes[-1].state, ()


# --- gracenotes and notes of one's own ---


def _extra(asked: Asked, extra: Segment, before: Neighbour | None, after: Neighbour | None, played: int) -> Finding:
    is_note = extra.lasted_s() >= NOTE_FROM_S
    kind = FindingKind.EXTRA_NOTE if is_note else FindingKind.EXTRA_GRACENOTE
    what = extra.note.label if is_note else grace_name(extra.note)
    played_words = extra.note.label if is_note else a_gracenote(extra.note)
    text = f"{bar_words(asked, played)}: {played_words} was played{_between(before, after)} but is not in the tune."
    holding = after or before
    fingers = chart(holding.segment.note).moves_to(chart(extra.note)) if is_note and holding else ()
    return finding_at(
        asked,
        played,
        kind,
        at_s=extra.onset_s,
        heard=extra.note.letter,
        fingers=fingers,
        ms=_ms(extra),
        text=text,
        place=what,
        cause=(kind, extra.note),
    )


def _between(before: Neighbour | None, after: Neighbour | None) -> str:
    if before is not None and after is not None:
        one, other = before.segment.note, after.segment.note
        return f" on {one.label}" if one is other else f" between {one.label} and {other.label}"
    if after is not None:
        return f" before {after.segment.note.label}"
    return f" after {before.segment.note.label}" if before is not None else ""


def holes_for(asked: Asked, token: int, heard: Note, *, ending: bool) -> HoleState:
    """The holes a token was asked with, at its beginning or end; another note's own where another was heard."""
    held = asked.tokens[token]
    state = held.closes if ending else held.opens
    return state if sounded(state) is heard else chart(heard)


def gracenote_unmoved(segment: Segment, melody_before: Note | None) -> Neighbour | None:
    """A gracenote as it is fingered over the melody note before it, in that note's name; None where it is not."""
    if melody_before is None or segment.note is melody_before:
        return None
    (state,) = gracenote_states([segment.note], melody_before)
    return Neighbour(melody_before, segment, state) if sounded(state) is segment.note else None
