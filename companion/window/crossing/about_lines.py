"""Wraps what is told of changes of note into lines, and finds how many lines the wordiest of them needs.

Room is left for that many, so that nothing moves while the mark goes from one change of note to the next.
"""

from __future__ import annotations

import enum
import heapq
from functools import lru_cache

from companion.window.core.marks import Measure, Style
from companion.window.core.wording import capital, wrapped
from companion.window.crossing.change_facts import ChangeFacts, Changes

MOST_WRAPPED = 10
"""Of all changes of note, only so many of the longest are wrapped to find the wordiest: wrapping takes time."""
_KEPT = 64


class Wording(enum.Enum):
    """How much is told: all, in brief, the least of all; each reason with why, or the reasons in one sentence."""

    FULL = "full"
    BRIEF = "brief"
    LEAST = "least"
    EACH_REASON = "each reason"
    REASONS = "reasons"

    def texts(self, facts: ChangeFacts, headline: str) -> tuple[str, ...]:
        """What is told, as paragraphs. `headline`: the large line above, which leaves more or less to be told."""
        match self:
            case Wording.FULL:
                return facts.told(headline), facts.how_hard
            case Wording.BRIEF:
                return facts.in_brief(headline)
            case Wording.LEAST:
                return (facts.least(headline),)
            case Wording.EACH_REASON:
                return facts.reasons
            case Wording.REASONS:
                return (f"{capital(facts.reasons_in_brief)}.",) if facts.demands else ()


def lines_about(facts: ChangeFacts, wording: Wording, width: float, measure: Measure) -> list[str]:
    """What is told of a change of note, in lines of at most `width` pixels."""
    texts = wording.texts(facts, facts.headline(width, measure))
    return [line for text in texts for line in wrapped(text, Style.TEXT, width, measure)]


def lines_needed(changes: Changes, facts: ChangeFacts, wording: Wording, width: float, measure: Measure) -> int:
    """How many lines to leave room for where one change of note is told: as many as any needs, so far as that is known.

    At some widths one that is not among the longest needs a line more.
    """
    return max(most_lines(changes, wording, width, measure), len(lines_about(facts, wording, width, measure)))


@lru_cache(maxsize=_KEPT)
def most_lines(changes: Changes, wording: Wording, width: float, measure: Measure) -> int:
    """The most lines that one of the longest changes of note needs."""

    def length(facts: ChangeFacts) -> int:
        return sum(map(len, wording.texts(facts, str(facts.named))))

    longest = heapq.nlargest(MOST_WRAPPED, changes.by_pair.values(), key=length)
    return max(len(lines_about(facts, wording, width, measure)) for facts in longest)
