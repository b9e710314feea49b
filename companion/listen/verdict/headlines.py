"""A thing to mend as a hall reads it: in a few large words, with the bars and the places where it was heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding
from companion.listen.model.words import bars_words
from companion.listen.verdict.brief import brief_of
from companion.listen.verdict.matter.sentences import worst_of
from companion.listen.verdict.verdict import Matter, Verdict

ANOTHER_SETTING = "another setting?"


@dataclass(frozen=True, slots=True)
class Headline:
    """`what` is "upper ring late", `large` the same and how often. where: its bars. places: the ranks of its findings
    among all that were found, in order of time."""

    what: str
    large: str
    where: str
    places: tuple[int, ...]


def headlines_of(verdict: Verdict, asked: Asked, findings: Sequence[Finding]) -> tuple[Headline, ...]:
    """One for each thing to mend of a verdict, in its order."""
    return tuple(_headline(matter, asked, findings) for matter in verdict.matters)


def _headline(matter: Matter, asked: Asked, findings: Sequence[Finding]) -> Headline:
    brief = brief_of(asked, worst_of(matter.findings), matter.count)
    what, large = (ANOTHER_SETTING,) * 2 if matter.setting else (brief.what, brief.how_often)
    own = set(matter.findings)
    places = tuple(rank for rank, each in enumerate(findings) if each in own)
    return Headline(what, large, bars_words([each.bar for each in matter.findings]), places)
