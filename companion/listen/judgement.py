"""A take judged: its findings and the verdict, from the events to the last word."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from companion.listen.model.asked import Asked, ask, ask_for
from companion.listen.model.findings import Finding, FindingKind, finding_to_data, in_order
from companion.listen.model.misheard import AS_PLAYED, Misheard
from companion.listen.model.played import Played
from companion.listen.model.strictness import Strictness
from companion.listen.model.tally import without_places
from companion.listen.model.terms import AT_SPEED, TakeTerms
from companion.listen.setting.changes import changes_heard
from companion.listen.take.credible import check_events, check_heard
from companion.listen.take.next_round import before_next_round
from companion.listen.take.order import order_findings, read_in_order
from companion.listen.take.twice import hear_twice, read_take, tell_twice
from companion.listen.verdict.gather.passage import without_changes
from companion.listen.verdict.verdict import Matter, Share, Verdict, verdict_on
from companion.schedule.stretch import stretch_in_setting
from companion.score.model import Tune
from companion.score.setting import Setting, in_setting, setting_to_data


@dataclass(frozen=True, slots=True)
class Judgement:
    """What was found in one take of `asked`, in order of time, and the verdict. Times are the take's own clock's.

    tune: in the learner's setting, with its parts in the order in which they were played, as in `asked`. setting: what
    of it differs from the tune as written. places: the played notes of the schedule as they were heard, with their
    onsets in s.
    """

    tune: Tune
    asked: Asked
    strictness: Strictness
    events: tuple[Played, ...]
    places: tuple[tuple[int, float], ...]
    findings: tuple[Finding, ...]
    verdict: Verdict
    setting: Setting = ()


def judge(
    tune: Tune,
    events: Sequence[Played],
    strictness: Strictness = Strictness.USUAL,
    terms: TakeTerms = AT_SPEED,
    *,
    setting: Setting = (),
    where: str | None = None,
    untold: Callable[[Finding], bool] = lambda finding: False,
    misheard: Misheard = AS_PLAYED,
) -> Judgement:
    """Judge a take of a tune on the terms on which it was asked for. where: names the take in errors.

    setting: what the learner plays otherwise than the tune is written, which is then asked for. untold: which findings
    are not to be told, since it is not sure what sounded there; neither right nor wrong is counted there.
    misheard: how far it is misheard.

    Raises UserError for what is no performance of the tune.
    """
    if terms.stretch:
        terms = replace(terms, stretch=stretch_in_setting(tune, setting, terms.stretch))
    tune = in_setting(tune, setting)
    first = ask_for(tune, terms)
    if terms.stretch:
        events = before_next_round(first, events)
    check_events(first, events, where)
    ordered = read_in_order(tune, read_take(first, events), events)
    asked, heard = ordered.read.asked, tell_twice(ordered.read, strictness, misheard)
    changes = changes_heard(asked, heard.findings, heard.tally.places)
    check_heard(asked, heard.tally, tune.title or "the tune", where, changes=changes)
    found = in_order([*heard.findings, *order_findings(tune, ordered, heard.tally.places)])
    findings = tuple(each for each in found if not untold(each))
    verdict = verdict_on(
        tune,
        asked,
        findings,
        without_places(heard.tally, [each for each in found if untold(each)]),
        heard.moments,
        metronome_bpm=terms.metronome_bpm,
        off_own_pulse=frozenset() if terms.metronome_bpm is None else _off_own_pulse(asked, events, strictness),
    )
    told = without_changes(findings, verdict.matters)
    return Judgement(ordered.tune, asked, strictness, tuple(events), heard.tally.places, told, verdict, setting)


def _off_own_pulse(asked: Asked, events: Sequence[Played], strictness: Strictness) -> frozenset[int]:
    """The played notes that would be off their time without the metronome as well."""
    off = (FindingKind.EARLY, FindingKind.LATE)
    # The schedule is at the metronome's tempo already; gracenotes are as slow as they were asked for.
    alone = ask(asked.schedule, TakeTerms(gracenotes_slowed=asked.terms.gracenotes_slowed, stretch=asked.terms.stretch))
    return frozenset(each.played for each in hear_twice(alone, events, strictness).findings if each.kind in off)


def setting_heard(judgement: Judgement) -> Setting:
    """What else a take played as another setting than the one in which it was judged; empty for nothing."""
    return next((each.setting for each in judgement.verdict.matters if each.setting), ())


def judgement_to_data(judgement: Judgement) -> dict[str, Any]:
    """A judgement as JSON: tempo in crotchets a minute, findings, summary."""
    pace = judgement.verdict.pace
    setting = {"setting": setting_to_data(judgement.setting)} if judgement.setting else {}
    return {
        "tempo": None if pace is None else round(pace.qpm, 2),
        "findings": [finding_to_data(each) for each in judgement.findings],
        "summary": _summary(judgement),
        **setting,
    }


def _summary(judgement: Judgement) -> dict[str, Any]:
    verdict = judgement.verdict
    pace = verdict.pace
    return {
        "title": verdict.title,
        "strictness": judgement.strictness.value,
        "notes": _share(verdict.notes),
        "gracenotes": _share(verdict.gracenotes),
        "movements": _share(verdict.movements),
        "slowest": None if pace is None else round(pace.slowest_qpm, 1),
        "fastest": None if pace is None else round(pace.fastest_qpm, 1),
        "first": [_matter(each) for each in verdict.first],
        "matters": [_matter(each) for each in verdict.matters],
        "went_well": list(verdict.went_well),
        "not_judged": list(verdict.not_judged),
    }


def _share(share: Share) -> dict[str, int]:
    return {"right": share.right, "of": share.of}


def _matter(matter: Matter) -> dict[str, Any]:
    setting = {"setting": setting_to_data(matter.setting)} if matter.setting else {}
    return {
        "kind": matter.kind.value,
        "count": matter.count,
        "bars": sorted({each.bar for each in matter.findings}),
        "text": matter.text,
        "drill": matter.drill.text,
        "slow_down": matter.drill.slow_down,
        **setting,
    }
