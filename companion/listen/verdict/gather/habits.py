"""What is wrong all through a take: no gracenotes, none of one family, slips of one kind. One thing to learn each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import bars_words, count_words, place_of, place_to_play, previous_note, times_words
from companion.listen.verdict.matter.drills import MUCH_SLOWED, Drill, drill_for
from companion.listen.verdict.matter.evidence import Evidence, Matter
from companion.listen.verdict.matter.priority import most_urgent
from companion.listen.verdict.matter.sentences import worst_of
from fingering.embellishments import Embellishment, Family

NEARLY_ALL = 0.9
"""The least share of embellished notes with something left out, where no gracenotes were played. The others only
seem to have one: a melody note sounds the same."""

HARDLY_ANY = 0.1
"""The most of the gracenotes that may seem to have been heard then."""

SELDOM_TIMES = 3
"""Embellishments of one sort are told together if the tune asks for so many."""

SELDOM = 0.75
"""A sort of embellishment is seldom played if something was left out of this share of its places."""

SLIPS = 3
"""This many single slips with one remedy are one thing to learn, wherever they were made."""

_SLIPS: Mapping[tuple[FindingKind, ...], str] = MappingProxyType(
    {
        (FindingKind.WRONG_NOTE, FindingKind.MISSING_NOTE): "notes in all were wrong or left out",
        (FindingKind.EXTRA_NOTE,): "notes in all were not in the tune",
        (FindingKind.EXTRA_GRACENOTE,): "gracenotes in all were not in the tune",
        (FindingKind.UNEVEN,): "embellishments in all were uneven",
    }
)

_OF_EMBELLISHMENTS = (
    FindingKind.MISSING_GRACENOTE,
    FindingKind.WRONG_GRACENOTE,
    FindingKind.LONG_GRACENOTE,
    FindingKind.UNEVEN,
)


def no_gracenotes(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """One matter for a take in which hardly any gracenote was heard; none otherwise."""
    tally = evidence.tally
    missing = [each for each in left if each.kind is FindingKind.MISSING_GRACENOTE]
    embellished = {played for played, _ in tally.places if evidence.asked.schedule.embellishments[played]}
    bare = {each.played for each in missing}
    if len(bare) < SELDOM_TIMES or len(bare) < NEARLY_ALL * len(embellished | bare):
        return []
    if tally.gracenotes_right > HARDLY_ANY * tally.gracenotes:
        return []
    gone = tally.gracenotes - tally.gracenotes_right
    none = "No gracenotes were played: all" if not tally.gracenotes_right else "Hardly any gracenotes were played:"
    count = f"{gone}" if not tally.gracenotes_right else f"{gone} of {tally.gracenotes}"
    text = f"{none} {count} were left out, and the melody was heard bare."
    return [Matter(tuple(missing), _one_at_a_time(evidence, missing[0]), text)]


def _one_at_a_time(evidence: Evidence, first: Finding) -> Drill:
    drill = drill_for(evidence.asked, [first])
    where = bars_words([first.bar])
    text = (
        f"Begin with one: play {place_to_play(evidence.asked, first.played)} four times slower until it is clean ten "
        f"times. Then {where} with all its gracenotes, then the next bar."
    )
    return Drill(text, drill.first, drill.last, MUCH_SLOWED)


def seldom_played(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """Each sort of embellishment of which something was missing nearly every time."""
    missing: dict[int, Finding] = {}
    for each in left:
        if each.kind is FindingKind.MISSING_GRACENOTE:
            missing.setdefault(each.played, each)
    matters = []
    for plural, places in by_sort(evidence, {played for played, _ in evidence.tally.places} | set(missing)):
        faulty = [missing[played] for played in places if played in missing]
        if len(faulty) >= max(SELDOM_TIMES, SELDOM * len(places)):
            text = _seldom(evidence, plural, faulty, len(places))
            matters.append(Matter(tuple(faulty), drill_for(evidence.asked, faulty), text))
    return matters


def by_sort(evidence: Evidence, places: Iterable[int]) -> Iterable[tuple[str, list[int]]]:
    """The places of each family, single gracenotes by which it is, under their name for several; those that no name is
    known for left out."""
    found: dict[str, list[int]] = defaultdict(list)
    for played in sorted(places):
        each = evidence.asked.schedule.embellishments[played]
        if each is not None and each.family is not Family.UNNAMED:
            found[f"{each.name}s" if each.family is Family.SINGLE else each.family.plural].append(played)
    return found.items()


def _seldom(evidence: Evidence, plural: str, faulty: Sequence[Finding], asked: int) -> str:
    whole = all(len(each.asked) >= _could_be_heard(evidence, each.played) for each in faulty)
    bars = bars_words([each.bar for each in faulty])
    if len(faulty) == asked and whole:
        return f"No {plural} were played: all {count_words(asked)} were left out, in {bars}."
    count = "All" if len(faulty) == asked else f"{len(faulty)} of"
    what = "were left out" if whole else "were not whole: something was left out of each"
    return f"{count} {asked} {plural} {what}, in {bars}."


def _could_be_heard(evidence: Evidence, played: int) -> int:
    """How many gracenotes of an embellishment are another note than the one before and the one that follows."""
    embellishment = evidence.asked.schedule.embellishments[played]
    if embellishment is None:
        return 0
    around = (embellishment.onto, previous_note(evidence.asked, played))
    return sum(each not in around for each in embellishment.gracenotes)


def same_embellishment(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """An embellishment that went wrong now in this way, now in that."""
    found: dict[Embellishment, list[Finding]] = defaultdict(list)
    for each in left:
        embellishment = evidence.asked.schedule.embellishments[each.played]
        if each.kind in _OF_EMBELLISHMENTS and embellishment and len(embellishment.gracenotes) > 1:
            found[embellishment].append(each)
    matters = []
    for faulty in found.values():
        causes = most_urgent(faulty)
        if len(causes) > 1:
            group = tuple(each for cause in causes for each in cause)
            place, bars = place_of(evidence.asked, group[0].played), bars_words([each.bar for each in group])
            often = times_words(len({each.at_s for each in group}))
            text = f"{worst_of(causes[0]).text} {place[0].upper()}{place[1:]} went wrong {often} in all, in {bars}."
            matters.append(Matter(group, drill_for(evidence.asked, causes[0]), text))
    return matters


def scattered_slips(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """Many slips with one remedy, each at another place."""
    matters = []
    for kinds, what in _SLIPS.items():
        alone = [cause[0] for cause in most_urgent(left) if cause[0].kind in kinds and len(cause) == 1]
        group = tuple(each for each in alone if each.kind is FindingKind.UNEVEN or len(each.asked) <= 1)
        if len(group) >= SLIPS:
            bars = bars_words([each.bar for each in group])
            text = f"{worst_of(group).text} {count_words(len(group)).capitalize()} {what}, in {bars}."
            matters.append(Matter(group, drill_for(evidence.asked, group), text))
    return matters
