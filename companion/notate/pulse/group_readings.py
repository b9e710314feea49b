"""What a group of gracenotes may be where a sound is not sure of them: a note of another name, one that was none, one
more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from companion.notate.pulse.group_costs import group_cost
from companion.notate.pulse.sounds import SoundingNote
from fingering.embellishments import Family, recognise
from fingering.notes import Note

SURE = 0.9
"""A gracenote that is less sure than this may be none."""

RENAMED, DROPPED, DROPPED_SURE, ADDED = 0.6, 1.5, 3.0, 1.0
"""What it costs that a gracenote is another than was told, that it is none, that it is none though it was surely heard,
that there is one more. Choices, no source; checked by `tests.learners.written_from_sound`."""

WORTH_TELLING = 2.5
"""What costs at most so much more than the likeliest may as well be meant."""

MOST_OTHERS = 2
REACH_TIMES = 1.7
"""A sound that may lie within a note of melody, no further from its end than this many median gracenotes, is the first
of a group."""

Group = tuple[Note, ...]


def group_readings(notes: Sequence[SoundingNote], median_s: float) -> list[Group]:
    """Return what the gracenotes between two notes of melody may be, the likeliest first; what is too unlikely to be
    told is left out.

    notes: those that sounded, from one note of melody to the next, both with them. median_s: how long this player's
    gracenotes are.
    """
    first, *graces, last = notes
    told = tuple(each.note for each in graces)
    tried = {told: 0.0}
    for group, cost in _changed(notes, median_s * REACH_TIMES):
        if _sounds(first.note, group, last.note):
            tried[group] = min(cost, tried.get(group, cost))
    if len(tried) == 1:
        return [told]
    costs = {group: cost + group_cost(group, last.note, first.note)[1] for group, cost in tried.items()}
    best, *others = sorted(costs, key=lambda group: costs[group])
    worth = [each for each in others if costs[each] - costs[best] < WORTH_TELLING and _has_a_name(first, each, last)]
    return [best, *worth[:MOST_OTHERS]]


def _sounds(before: Note, group: Group, onto: Note) -> bool:
    """Whether each note of a group can be heard beside its neighbours."""
    whole = (before, *group, onto)
    return all(one is not other for one, other in pairwise(whole))


def _has_a_name(first: SoundingNote, group: Group, last: SoundingNote) -> bool:
    found = recognise(group, onto=last.note, before=first.note) if group else None
    return found is None or found.family is not Family.UNNAMED


def _changed(notes: Sequence[SoundingNote], reach_s: float) -> Iterator[tuple[Group, float]]:
    """Yield the group with one thing otherwise, and what that costs."""
    graces = notes[1:-1]
    told = [each.note for each in graces]
    for rank, each in enumerate(graces):
        for other in each.others:
            yield (*told[:rank], other, *told[rank + 1 :]), RENAMED
        if each.confidence < 1.0:
            cost = DROPPED if each.confidence < SURE else DROPPED_SURE
            yield (*told[:rank], *told[rank + 1 :]), cost
    for rank, each in enumerate(notes):
        for maybe in each.maybe:
            cost = ADDED - math.log(max(2.0 * maybe.confidence, 1e-3))
            if rank and maybe.at_s - each.onset_s < reach_s / 2:
                yield (*told[: rank - 1], maybe.note, *told[rank - 1 :]), cost
            elif rank < len(notes) - 1 and each.end_s - maybe.at_s < reach_s:
                yield (*told[:rank], maybe.note, *told[rank:]), cost
