"""A tune played with few of its gracenotes, here and there of every sort: one thing to learn, and not one for each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import bars_words, listed, place_to_play
from companion.listen.verdict.gather.habits import by_sort
from companion.listen.verdict.matter.drills import SLOWED, Drill
from companion.listen.verdict.matter.evidence import Evidence, Matter

FEW = 0.6
"""Gracenotes are few if no more than this share of them was played."""

FEWEST_MISSING = 8
"""Fewer places than these are told one by one."""

ONE_SORT = 0.75
"""Where so large a share of what was left out is of one sort, it is that sort which is not played, and it is told as
such."""

MOST_SORTS = 2
"""A drill names at most this many further sorts of embellishment, to be added once the first is played."""


def few_gracenotes(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """One matter for a take with few of its gracenotes; none where most were played, or one sort alone was not."""
    tally = evidence.tally
    missing = tuple(each for each in left if each.kind is FindingKind.MISSING_GRACENOTE)
    if len(missing) < FEWEST_MISSING or tally.gracenotes_right > FEW * tally.gracenotes:
        return []
    sorts = _sorts(evidence, missing)
    if not sorts or len(sorts[0][1]) >= ONE_SORT * len(missing):
        return []
    text = f"Of {tally.gracenotes} gracenotes you played {tally.gracenotes_right}; the others were left out."
    return [Matter(missing, _sort_by_sort(evidence, sorts), text)]


def _sorts(evidence: Evidence, missing: Sequence[Finding]) -> list[tuple[str, list[Finding]]]:
    """What was left out, by the sort of embellishment, most often left out first."""
    at = {each.played: each for each in missing}
    sorts = [(plural, [at[played] for played in places]) for plural, places in by_sort(evidence, at)]
    return sorted(sorts, key=lambda sort: -len(sort[1]))


def _sort_by_sort(evidence: Evidence, sorts: Sequence[tuple[str, Sequence[Finding]]]) -> Drill:
    """Begin with single gracenotes, which are the easiest, where they lack most; the other sorts follow."""
    singles = [sort for sort in sorts if _is_single(evidence, sort[1][0])]
    plural, faulty = (singles or sorts)[0]
    bar, _ = Counter(each.bar for each in faulty).most_common(1)[0]
    first = next(each for each in faulty if each.bar == bar)
    others = [other for other, _ in sorts if other != plural][:MOST_SORTS]
    then = f"; then add the {listed(others)}" if others else ""
    text = (
        f"Begin with one sort, the {plural}: play {place_to_play(evidence.asked, first.played)} ten times clean, then "
        f"{bars_words([bar])} at half speed, then the whole tune with all its {plural}{then}."
    )
    return Drill(text, *evidence.bar_of(first.played), SLOWED)


def _is_single(evidence: Evidence, finding: Finding) -> bool:
    embellishment = evidence.asked.schedule.embellishments[finding.played]
    return embellishment is not None and len(embellishment.gracenotes) == 1
