"""What extra notes between two asked ones were: crossing noises with their finger, or notes of the learner's own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.find.extra.neighbour import Neighbour, neighbour_of_its_own
from companion.listen.model.segments import HoleChange, Segment
from companion.listen.model.strictness import Limits
from fingering.crossings.blame import Explanation, explain, explain_states
from fingering.holes import HoleState

NOTE_FROM_S = 0.1
"""An extra note this long is one of melody: longer than a gracenote may be, shorter than most melody notes."""

CROSSING_UP_TO_S = 0.125
"""Fingers further apart than this do not belong to one movement: then it was another note."""

CROSSING_NOTES = 3
"""No crossing passes more notes than this that can be told apart."""

SETTLING_S = 0.08
"""A finger that moves up to this long after the new note began to sound, in s, belongs to the crossing onto it."""


@dataclass(frozen=True, slots=True)
class CrossingHeard:
    """Extra notes that the fingers sounded on their way from one note to the next; the explanation has a slip."""

    before: Neighbour
    after: Neighbour
    extras: tuple[Segment, ...]
    explanation: Explanation


@dataclass(frozen=True, slots=True)
class ExtraHeard:
    """One extra note, a gracenote or a note of melody, between two neighbours; None where the take begins or ends."""

    before: Neighbour | None
    after: Neighbour | None
    extra: Segment

    @property
    def is_melody(self) -> bool:
        """Whether it was as long as a note of melody."""
        return self.extra.lasted_s() >= NOTE_FROM_S


SlipHeard = CrossingHeard | ExtraHeard


def slips_of(
    limits: Limits, extras: Sequence[Segment], *, before: Neighbour | None, after: Neighbour | None
) -> tuple[SlipHeard, ...]:
    """Return what extra notes in a row were, between two neighbours (None where the take begins or ends)."""
    if not extras or sum(map(length_ms, extras)) < limits.crossing_ms:
        return ()
    audible = [each for each in extras if length_ms(each) >= limits.crossing_ms]
    if before is not None and after is not None:
        crossing = _crossing(extras, before, after)
        if crossing is not None:
            return (crossing,)
        if len(audible) > 1 and _may_cross(before, after, extras):
            return _one_by_one(limits, audible, before, after)
    return tuple(ExtraHeard(before, after, each) for each in audible)


def length_ms(segment: Segment) -> float:
    """Return the length of a note in ms."""
    return segment.lasted_s() * 1000.0


def _one_by_one(
    limits: Limits, extras: Sequence[Segment], before: Neighbour, after: Neighbour
) -> tuple[SlipHeard, ...]:
    """Return each of several extra notes that make no one crossing by itself; only the first has `before` beside it."""
    lefts = [before, *map(neighbour_of_its_own, extras[1:])]
    pairs = zip(lefts, extras, strict=True)
    return tuple(slip for left, each in pairs for slip in slips_of(limits, [each], before=left, after=after))


# --- crossings ---


def _crossing(extras: Sequence[Segment], before: Neighbour, after: Neighbour) -> CrossingHeard | None:
    """Return the extra notes as one crossing, if that explains them."""
    if not _may_cross(before, after, extras):
        return None
    found = _explained(extras, before, after)
    if found is None and before.unmoved is not None and _may_cross_unmoved(before.unmoved, after, extras):
        found = _explained(extras, before.unmoved, after)
    return found


def _may_cross(before: Neighbour, after: Neighbour, extras: Sequence[Segment]) -> bool:
    lasted_s = sum(each.lasted_s() for each in extras)
    stopped = any(each.silence_s for each in (*extras, after.segment))
    return (
        lasted_s <= CROSSING_UP_TO_S and len(extras) <= CROSSING_NOTES and not stopped and before.holes != after.holes
    )


def _may_cross_unmoved(unmoved: Neighbour, after: Neighbour, extras: Sequence[Segment]) -> bool:
    """Return whether noises may come from the melody note before a gracenote.

    They may not where that note is heard again, which is no noise: then the gracenote came too soon.
    """
    return unmoved.holes != after.holes and all(each.note is not unmoved.note for each in extras)


def _explained(extras: Sequence[Segment], before: Neighbour, after: Neighbour) -> CrossingHeard | None:
    told = all(each.holes for each in (before.segment, *extras, after.segment))
    explanation = (_from_fingers if told else _from_notes)(extras, before, after)
    if explanation is None or not explanation.slips:
        return None
    return CrossingHeard(before, after, tuple(extras), explanation)


def _from_notes(extras: Sequence[Segment], before: Neighbour, after: Neighbour) -> Explanation | None:
    """Return the likeliest fingers, where only notes were told."""
    heard = [(each.note, length_ms(each)) for each in extras]
    return next(iter(explain(before.holes, after.holes, heard)), None)


def _from_fingers(extras: Sequence[Segment], before: Neighbour, after: Neighbour) -> Explanation | None:
    """Return the true finger, where the holes themselves were told; None if a finger moved that had no part in it."""
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
    """Return the changes up to the first that reaches `holes`, or all."""
    settled = next((rank for rank, change in enumerate(changes) if change.state == holes), len(changes) - 1)
    return changes[: settled + 1]


def _settled_start(before: Neighbour) -> tuple[HoleState, Sequence[HoleChange]]:
    """Return the state in which the note before was held, and what moved before it ended."""
    changes = before.segment.holes
    end_s = before.segment.end_s if before.segment.end_s is not None else changes[-1].at_s
    for rank in range(len(changes) - 1, -1, -1):
        if changes[rank].state == before.holes:
            return before.holes, changes[rank + 1 :]
        if end_s - changes[rank].at_s > SETTLING_S:
            return changes[rank].state, changes[rank + 1 :]
    return changes[-1].state, ()
