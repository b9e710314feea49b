"""What is changed in the same way each time: told once, and asked about, not told as so many wrong notes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from companion.listen.model.findings import Finding
from companion.listen.model.words import bars_words, count_words, embellishment_name, listed, place_of, previous_note
from companion.listen.setting.changes import ChangeHeard, changes_heard
from companion.listen.verdict.matter.drills import drill_for
from companion.listen.verdict.matter.evidence import Evidence, Matter
from fingering.embellishments import recognise

MOST_CHANGES = 3
"""More changes than this are not told one by one."""


SAY_SO = "If you learnt it so, say so: from then on it is asked of you. If not,"


def another_setting(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """One matter for all that comes back in every like place; none where nothing does."""
    found = changes_heard(evidence.asked, left, evidence.tally.places)
    if not found:
        return []
    findings = tuple(finding for each in found for finding in each.findings)
    changes = tuple(sorted((one for each in found for one in each.changes), key=lambda one: one.rank))
    drill = drill_for(evidence.asked, findings)
    drill = replace(drill, text=f"{SAY_SO} {drill.text[0].lower()}{drill.text[1:]}")
    return [Matter(findings, drill, _text(evidence, found), changes)]


def _text(evidence: Evidence, found: Sequence[ChangeHeard]) -> str:
    """ "In bars 2, 6 and 10 you play B where this setting has C, all three times: another setting?" """
    told = list(_told(evidence, found))
    heard, of = sum(each.heard for each in found), sum(each.of for each in found)
    more = len(told) - MOST_CHANGES
    shown = told if more <= 0 else [*told[:MOST_CHANGES], f"{count_words(more)} more"]
    return f"{_capital(listed(shown))}, {_often(heard, of)}: another setting?"


def _often(heard: int, of: int) -> str:
    """ "both times", "all six times", "seven times of eight"."""
    if heard < of:
        return f"{count_words(heard)} times of {count_words(of)}"
    return "both times" if of == 2 else f"all {count_words(of)} times"


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def _told(evidence: Evidence, found: Sequence[ChangeHeard]) -> Iterator[str]:
    """Each change within a sentence, with its bars; what is changed alike in several places once."""
    bars: dict[str, list[int]] = defaultdict(list)
    for each in found:
        ranks = {change.rank for change in each.changes}
        here = [one.bar.number for one in evidence.asked.schedule.played if one.note.rank in ranks]
        bars[_change_words(evidence, each)] += here
    yield from (f"in {bars_words(numbers)} {words}" for words, numbers in bars.items())


def _change_words(evidence: Evidence, each: ChangeHeard) -> str:
    change = each.changes[0]
    if change.note is None:
        return f"you leave out {change.asked.label}"
    if change.added:
        added = listed([note.label for note in change.added])
        return f"you add {added} before {change.note.label}"
    if change.note is not change.asked:
        return f"you play {change.note.label} where this setting has {change.asked.label}"
    before = previous_note(evidence.asked, each.played)
    own = embellishment_name(recognise(change.gracenotes, onto=change.note, before=before))
    written = place_of(evidence.asked, each.played)
    where = written if evidence.asked.played(each.played).note.gracenotes else f"{written} alone"
    return f"you play {own} where this setting has {where}"
