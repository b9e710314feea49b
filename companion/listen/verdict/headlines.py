"""A thing to mend as a hall reads it: in a few large words, with the bars and the places where it was heard."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import are_many, bars_words
from companion.listen.verdict.brief import Brief, brief_of
from companion.listen.verdict.verdict import Matter, Verdict
from fingering.embellishments import Embellishment

ANOTHER_SETTING = "another setting?"

_SORTS: Mapping[frozenset[FindingKind], str] = MappingProxyType(
    {
        frozenset(kinds): words
        for kinds, words in (
            ({FindingKind.WRONG_NOTE}, "wrong notes"),
            ({FindingKind.MISSING_NOTE}, "notes left out"),
            ({FindingKind.WRONG_NOTE, FindingKind.MISSING_NOTE}, "wrong or no notes"),
            ({FindingKind.EXTRA_NOTE}, "extra notes"),
            ({FindingKind.MISSING_GRACENOTE}, "gracenotes left out"),
            ({FindingKind.WRONG_GRACENOTE}, "wrong gracenotes"),
            ({FindingKind.EXTRA_GRACENOTE}, "extra gracenotes"),
            ({FindingKind.LONG_GRACENOTE}, "gracenotes long"),
            ({FindingKind.UNEVEN}, "gracenotes uneven"),
            ({FindingKind.CROSSING}, "crossing noises"),
            ({FindingKind.EARLY}, "early"),
            ({FindingKind.LATE}, "late"),
            ({FindingKind.EARLY, FindingKind.LATE}, "early and late"),
            ({FindingKind.POINTING}, "pointing"),
            ({FindingKind.RESTART}, "begun again"),
        )
    }
)
"""What findings of these kinds are together, where a few words for one of them would not hold of all."""


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
    brief = _brief_of_all(asked, matter)
    what, large = (ANOTHER_SETTING,) * 2 if matter.setting else (brief.what, brief.how_often)
    own = set(matter.findings)
    places = tuple(rank for rank, each in enumerate(findings) if each in own)
    in_time = sorted(matter.findings, key=lambda each: each.at_s)
    return Headline(what, large, _where([each.bar for each in in_time]), places)


def _brief_of_all(asked: Asked, matter: Matter) -> Brief:
    """A few words that hold of each finding of a matter: those of one where all have the same, else of what sort
    they are, or at which embellishment they all were heard."""
    first, *others = (brief_of(asked, each, matter.count) for each in matter.findings)
    if all(each.what == first.what for each in others):
        return first
    sort = _SORTS.get(frozenset(each.kind for each in matter.findings))
    names = {each.name if each else "" for each in _embellishments(asked, matter)}
    return replace(first, what=sort or (names.pop() if len(names) == 1 else "") or "gracenotes")


def _embellishments(asked: Asked, matter: Matter) -> list[Embellishment | None]:
    return [asked.schedule.embellishments[each.played] for each in matter.findings]


def _where(bars: Sequence[int]) -> str:
    """The bars of findings in order of time; of many the one that was heard first, and how many more there are."""
    return f"{bars_words(bars[:1])} and {len(set(bars)) - 1} more" if are_many(bars) else bars_words(bars)
