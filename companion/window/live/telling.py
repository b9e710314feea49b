"""Chooses what is told of a running tune: in a few words while it runs, in sentences once it is over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding
from companion.listen.model.words import times_words
from companion.listen.verdict.brief import Brief, brief_of
from companion.listen.verdict.matter.priority import most_urgent, urgency
from companion.listen.verdict.matter.sentences import worst_of
from companion.schedule.events import Schedule
from companion.schedule.spans import phrase_starts_s
from companion.score.model import Tune
from companion.window.lanes.told import MOST_LINES, Told

AT_ONCE_S = 6.0
"""A finding that is told at once stays to be read for this long, unless another follows."""

LIT_S = 1.5
"""Its finger stays lit for this long: long enough to be seen from the corner of an eye, and never a flash."""

ANOTHER_TUNE = Brief("", "is it another tune?")
"""What is told of a doubt while the tune runs."""


@dataclass(frozen=True, slots=True)
class Noticed:
    """A finding, and when it was told first, in s of the tune."""

    finding: Finding
    since_s: float


def told_at_once(asked: Asked, noticed: Sequence[Noticed], now_s: float) -> Told:
    """The latest finding in a few words, its finger lit; all of them marked."""
    marked = tuple(each.finding for each in noticed)
    recent = [each for each in noticed if now_s - each.since_s <= AT_ONCE_S]
    if not recent:
        return Told(marked=marked)
    latest = min(recent, key=lambda each: (-each.since_s, urgency((each.finding,))))
    lit = latest.finding if now_s - latest.since_s <= LIT_S else None
    return Told(marked=marked, lit=lit, brief=brief_of(asked, latest.finding))


def told_after_phrase(asked: Asked, findings: Sequence[Finding], schedule: Schedule, starts_s: Sequence[float]) -> Told:
    """The most urgent thing of the phrase before the one in which the tune stands; its findings marked.

    starts_s: when the phrases up to the present one began, two at least.
    """
    before_s, current_s = starts_s[-2:]
    done = tuple(each for each in findings if before_s <= schedule.note_onsets_s[each.played] < current_s)
    return Told(marked=done, brief=most_urgent_brief(asked, done))


def most_urgent_brief(asked: Asked, findings: Sequence[Finding]) -> Brief | None:
    """The most urgent thing in a few words, and how often it was found."""
    groups = most_urgent(findings)
    return brief_of(asked, worst_of(groups[0]), len(groups[0])) if groups else None


def phrases_begun(tune: Tune, schedule: Schedule, now_s: float) -> list[float]:
    """When the phrases up to the one in which the tune stands began: that one at least."""
    starts_s = phrase_starts_s(tune, schedule)
    return [start for start in starts_s if start <= now_s] or starts_s[:1]


def sentences(findings: Sequence[Finding]) -> tuple[str, ...]:
    """One sentence for each thing to mend, the most urgent first, at most MOST_LINES."""
    groups = most_urgent(findings)[:MOST_LINES]
    return tuple(worst_of(group).text + (f" ({times_words(len(group))})" if len(group) > 1 else "") for group in groups)
