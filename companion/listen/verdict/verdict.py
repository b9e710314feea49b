"""What a teacher would say after a take: what to mend first, with a drill for each, and what went well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.tally import Tally
from companion.listen.rhythm.pace import TempoHeard, pace_of
from companion.listen.verdict.matter.evidence import Evidence, Matter, Share
from companion.listen.verdict.matter.priority import most_urgent
from companion.listen.verdict.matters import matters_of
from companion.listen.verdict.not_judged import not_judged
from companion.listen.verdict.praise import went_well
from companion.score.model import Tune

__all__ = ["FIRST", "Matter", "Share", "TempoHeard", "Verdict", "most_urgent", "verdict_on"]

FIRST = 3
"""How many things are named to be mended first: more at once are none."""

_NOT_ON = {
    FindingKind.BREAK,
    FindingKind.RESTART,
    FindingKind.EXTRA_NOTE,
    FindingKind.MISSING_NOTE,
}
"""Where one of these was heard the tune did not go on as written, and the time around it is no tempo."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict on a take. `matters` are all, the first to be mended first; `first` the three that count most.

    notes, gracenotes, movements: melody notes and gracenotes played as asked, movements from note to note without a
    noise. not_judged: what could not be, and why. melody_well: of went_well, what does not rest on short sounds.
    """

    title: str
    matters: tuple[Matter, ...]
    went_well: tuple[str, ...]
    pace: TempoHeard | None
    notes: Share
    gracenotes: Share
    movements: Share
    not_judged: tuple[str, ...]
    melody_well: tuple[str, ...] = ()

    @property
    def first(self) -> tuple[Matter, ...]:
        """What to mend first."""
        return self.matters[:FIRST]


def verdict_on(
    tune: Tune,
    asked: Asked,
    findings: Sequence[Finding],
    tally: Tally,
    moments: Sequence[tuple[int, float]],
    *,
    metronome_bpm: float | None = None,
    off_own_pulse: frozenset[int] = frozenset(),
) -> Verdict:
    """The verdict on a take that was heard to its end.

    moments: its played notes and their beats, in s. metronome_bpm: of the metronome that it was played to, if any;
    off_own_pulse: the played notes that were off their time by the learner's own pulse as well.
    """
    beat = tune.tempo.beat if tune.tempo else tune.meter.beat_length
    breaks_s = [each.at_s for each in findings if each.kind in _NOT_ON]
    pace = pace_of(asked, moments, beat=beat, breaks_s=breaks_s)
    parts = tuple(tune.part_of(bar) for bar in tune.order)
    evidence = Evidence(asked, tuple(findings), tally, pace, metronome_bpm, off_own_pulse, parts)
    matters = matters_of(evidence)
    return Verdict(
        tune.title,
        matters,
        tuple(went_well(evidence, matters)),
        pace,
        Share(tally.notes_right, tally.notes),
        Share(tally.gracenotes_right, tally.gracenotes),
        Share(tally.movements_clean, tally.movements),
        tuple(not_judged(evidence)),
        tuple(went_well(evidence, matters, melody_alone=True)),
    )
