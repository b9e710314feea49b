"""What is said of findings with one cause: one of them stands for all, with how often and where."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import bars_words, count_words, listed, span_words, times_words

MOST_NAMES = 4


def worst_of(group: Sequence[Finding]) -> Finding:
    """The one to point at: the longest or furthest off, the first of those that are alike."""
    return max(group, key=lambda each: round(each.ms or 0.0))


def said_of(group: Sequence[Finding]) -> str:
    """One or two sentences for findings with one cause."""
    if len(group) == 1:
        return group[0].text
    match group[0].kind:
        case FindingKind.EARLY | FindingKind.LATE:
            return _off_time(group)
        case FindingKind.BREAK:
            return f"The sound stopped {times_words(len(group))}, for {_by(group)}, in {_bars(group)}."
        case FindingKind.POINTING:
            count = count_words(len(group)).capitalize()
            return f"{worst_of(group).text} {count} pairs in all were too even, in {_bars(group)}."
        case _:
            return f"{worst_of(group).text} {times_words(len(group)).capitalize()} in all, in {_bars(group)}."


def _off_time(group: Sequence[Finding]) -> str:
    """Several notes off their time, in one sentence with all their places: no single one stands for the others."""
    names = list(dict.fromkeys(each.place for each in group))
    which = f": {listed(names)}" if len(names) <= MOST_NAMES else ""
    return f"You were {group[0].kind.value} {times_words(len(group))}, by {_by(group)}{which}, in {_bars(group)}."


def _by(group: Sequence[Finding]) -> str:
    return span_words([each.ms or 0.0 for each in group])


def _bars(group: Sequence[Finding]) -> str:
    return bars_words([each.bar for each in group])
