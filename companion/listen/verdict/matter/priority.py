"""Findings by their cause, in the order in which a teacher would mend them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Sequence

from companion.listen.model.findings import Finding, FindingKind

# What a teacher mends first: the notes themselves, then movements that have become a habit and what is left out, then
# the sound of the embellishments, then rhythm and what breaks it. Common practice, no source.
_RANKS = {
    FindingKind.WRONG_NOTE: 0,
    FindingKind.MISSING_NOTE: 0,
    FindingKind.CROSSING: 1,
    FindingKind.MISSING_GRACENOTE: 1,
    FindingKind.WRONG_GRACENOTE: 2,
    FindingKind.EXTRA_NOTE: 2,
    FindingKind.EXTRA_GRACENOTE: 2,
    FindingKind.LONG_GRACENOTE: 3,
    FindingKind.UNEVEN: 3,
    FindingKind.POINTING: 4,
    FindingKind.LATE: 5,
    FindingKind.EARLY: 5,
    FindingKind.BREAK: 4,
    FindingKind.RESTART: 4,
    FindingKind.ORDER: 3,
}

_RARELY = {1: 2, 2: 1}
"""What was heard only once or twice goes back by so many ranks: it may be a slip, where three times are a habit."""


def most_urgent(findings: Sequence[Finding]) -> list[tuple[Finding, ...]]:
    """Findings by their cause, what a teacher would mend first at the head."""
    groups: dict[Hashable, list[Finding]] = defaultdict(list)
    for finding in findings:
        groups[(finding.kind, finding.cause)].append(finding)
    return [tuple(group) for group in sorted(groups.values(), key=urgency)]


def urgency(group: Sequence[Finding]) -> tuple[int, int, float]:
    """A teacher's order, single slips behind habits of nearly the same weight; then how often, then when."""
    count = len(group)
    rarely = 0 if group[0].throughout else _RARELY.get(count, 0)
    return _RANKS[group[0].kind] + rarely, -count, group[0].at_s
