"""The things to learn that a take shows: findings gathered by what a teacher would say of them in one sentence."""

from __future__ import annotations

from dataclasses import replace

from companion.listen.model.findings import Finding, FindingKind
from companion.listen.verdict.gather.another_setting import another_setting
from companion.listen.verdict.gather.few_gracenotes import few_gracenotes
from companion.listen.verdict.gather.gathered import long_gracenotes, restarts
from companion.listen.verdict.gather.habits import no_gracenotes, same_embellishment, scattered_slips, seldom_played
from companion.listen.verdict.gather.passage import passage
from companion.listen.verdict.gather.tempo import another_tempo, off_the_metronome, unsteady
from companion.listen.verdict.matter.drills import SLOW_BPM, drill_for, for_slow_player
from companion.listen.verdict.matter.evidence import Evidence, Matter
from companion.listen.verdict.matter.priority import most_urgent, urgency
from companion.listen.verdict.matter.sentences import said_of

_GATHERINGS = (
    another_setting,
    no_gracenotes,
    few_gracenotes,
    seldom_played,
    long_gracenotes,
    restarts,
    same_embellishment,
    scattered_slips,
    another_tempo,
    off_the_metronome,
    passage,
    unsteady,
)
"""Each makes matters of some of the findings that are left and leaves the others alone, one after the other."""


def matters_of(evidence: Evidence) -> tuple[Matter, ...]:
    """Everything there is to learn, what a teacher would mend first at the head."""
    next_times = evidence.next_times()
    left = [each for each in evidence.findings if each not in next_times]
    matters: list[Matter] = []
    for gather in _GATHERINGS:
        gathered = gather(evidence, left)
        taken = {id(finding) for matter in gathered for finding in matter.findings}
        left = [each for each in left if id(each) not in taken]
        matters += gathered
    matters += [_one_cause(evidence, group) for group in most_urgent(left)]
    pace = evidence.pace
    if pace is not None and pace.in_beats(pace.qpm) < SLOW_BPM:
        matters = [replace(each, drill=for_slow_player(each.drill)) for each in matters]
    return tuple(sorted(matters, key=lambda matter: urgency(matter.findings)))


def _one_cause(evidence: Evidence, group: tuple[Finding, ...]) -> Matter:
    restart = group[0].kind is FindingKind.RESTART
    stumbled = evidence.place_before(group[0]) if restart else None
    return Matter(group, drill_for(evidence.asked, group, stumbled), said_of(group))
