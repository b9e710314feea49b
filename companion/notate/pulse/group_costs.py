"""How likely each group of gracenotes is as an embellishment between its two notes."""

from __future__ import annotations

from difflib import SequenceMatcher
from functools import lru_cache

from fingering.chart import chart, sounded
from fingering.crossings.transition import Transition
from fingering.embellishments import Family, entries_onto, recognise, usual_spelling
from fingering.movement import gracenote_states
from fingering.notes import Note

# Costs: negative logarithms of how likely an embellishment is. Choices, no source; checked by `tests.learners`.
NAMED, SINGLE, NEAR, UNNAMED, EACH_UNNAMED, UNSUITED = 0.3, 0.4, 5.5, 6.0, 1.5, 2.0

ODD_SINGLE = 1.6
"""A single gracenote that crossing fingers sound as well, between two notes."""

SELDOM_SINGLES = {
    Note.HIGH_G: 0.0,
    Note.D: 0.15,
    Note.E: 0.5,
    Note.HIGH_A: 0.8,
    Note.LOW_G: 0.8,
    Note.LOW_A: 0.8,
    Note.F: 2.2,
}
SELDOM_OTHERS = 1.6
"""How seldom a single gracenote is each note: most are G gracenotes, next D and E; an F gracenote is the rarest of
those that one lifted finger makes, and B and C are hardly ever one. Common practice, no source."""

WITHOUT_LOW_G = 1.0
"""What begins as a grip does, without its first low G and not after one: it is rare. Common practice, no source."""

HALVED = 1.5
"""What begins with its own note, the G gracenote before it left out, though that could have been played: it is from
high G and high A that it cannot, and there such halves stand. Common practice, no source."""

FEWEST_SHARED = 2


@lru_cache(maxsize=8192)
def group_cost(group: tuple[Note, ...], onto: Note, before: Note | None) -> tuple[Family | None, float]:
    """Return the family of a group of gracenotes and how unlikely it is that a piper plays it there."""
    if not group:
        return None, 0.0
    found = recognise(group, onto=onto, before=before)
    if found.family is Family.UNNAMED:
        near = nearest_spelling(group, onto, before)
        if near is None:
            return found.family, UNNAMED + EACH_UNNAMED * len(group)
        return recognise(near, onto=onto, before=before).family, NEAR
    if len(group) == 1:
        crossed = before is not None and is_crossing(before, group[0], (), onto)
        return found.family, SINGLE + max(seldom(group), ODD_SINGLE if crossed else 0.0)
    cost = NAMED + (0.0 if suits(group, onto, before) else UNSUITED)
    if found.family in _GRIPPED and Note.LOW_G not in (before, group[0]):
        cost += WITHOUT_LOW_G
    if found.family in _HALVED and group[0] is onto and before not in (Note.HIGH_G, Note.HIGH_A):
        cost += HALVED
    return found.family, cost


_GRIPPED = {Family.GRIP, Family.TAORLUATH, Family.CRUNLUATH}
_HALVED = {
    Family.HALF_DOUBLING,
    Family.STRIKE,
    Family.DOUBLE_STRIKE,
    Family.TRIPLE_STRIKE,
    Family.SHAKE,
    Family.CATCH,
}


def seldom(group: tuple[Note, ...]) -> float:
    """Return how seldom a single gracenote is that note, as a negative logarithm; of several nothing."""
    return SELDOM_SINGLES.get(group[0], SELDOM_OTHERS) if len(group) == 1 else 0.0


@lru_cache(maxsize=4096)
def is_crossing(before: Note, passed: Note, group: tuple[Note, ...], onto: Note) -> bool:
    """Return whether fingers that do not move together sound a note on their way from one note of melody to the first
    gracenote of a group, or to the next note where there is none."""
    start = chart(before)
    end = gracenote_states(group, onto)[0] if group else chart(onto)
    if start == end or passed is before or passed is (group[0] if group else onto):
        return False
    return any(sounded(state) is passed for state in Transition(start, end).lattice())


def nearest_spelling(group: tuple[Note, ...], onto: Note, before: Note | None) -> tuple[Note, ...] | None:
    """Return the embellishment that is one slip away from a group, if they share two gracenotes at least."""
    usual = usual_spelling(group, onto=onto, before=before)
    if usual is None or usual[0] is before:
        return None
    shared = SequenceMatcher(None, group, usual, autojunk=False).get_matching_blocks()
    return usual if sum(block.size for block in shared) >= FEWEST_SHARED else None


def suits(group: tuple[Note, ...], onto: Note, before: Note | None) -> bool:
    """Return whether a group is an embellishment that can be played after the note before it."""
    return any(
        entry.embellishment.gracenotes in (group, (before, *group)) and entry.suits(None if before is None else before)
        for entry in entries_onto(onto)
    )
