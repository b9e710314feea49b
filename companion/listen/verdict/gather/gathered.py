"""Findings of one kind that have one remedy, wherever they were made: one thing to learn."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import bars_words, count_words, span_words, times_words
from companion.listen.verdict.matter.drills import drill_for
from companion.listen.verdict.matter.evidence import Evidence, Matter
from companion.listen.verdict.matter.sentences import worst_of

LONG = 3
"""From this many on the long gracenotes of a take are told as one thing to learn, that fingers stay up too long."""

RESTARTS = 2
"""From this many on the fresh starts of a take are told as one thing to learn, to go on playing."""


def long_gracenotes(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """One matter for all long gracenotes; none for one or two. Where all of a take were slow it is told as that, and
    the longest are among them."""
    group = tuple(each for each in left if each.kind is FindingKind.LONG_GRACENOTE)
    slow = tuple(each for each in group if each.throughout)
    if slow:
        others = tuple(each for each in group if not each.throughout)
        longest = f" The longest lasted {span_words([worst_of(others).ms or 0.0])}." if others else ""
        return [Matter((*slow, *others), drill_for(evidence.asked, slow), f"{slow[0].text}{longest}")]
    if len(group) < LONG:
        return []
    bars = bars_words([each.bar for each in group])
    text = f"{worst_of(group).text} {count_words(len(group)).capitalize()} gracenotes in all were too long, in {bars}."
    return [Matter(group, drill_for(evidence.asked, group), text)]


def restarts(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """One matter for all fresh starts; none for a single one."""
    group = tuple(each for each in left if each.kind is FindingKind.RESTART)
    if len(group) < RESTARTS:
        return []
    stumbled = [before for each in group if (before := evidence.place_before(each)) is not None]
    places = stumbled or [each.played for each in group]
    bars = bars_words([evidence.asked.played(each).bar.number for each in places])
    text = f"You began again {times_words(len(group))}: you broke off in {bars}."
    return [Matter(group, drill_for(evidence.asked, group, stumbled[0] if stumbled else None), text)]
