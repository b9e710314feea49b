"""Tempo as something to learn: a stretch at another tempo, one that the metronome did not have, one that wanders."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.model.findings import Finding, FindingKind, finding_at
from companion.listen.model.words import bar_phrase, bars_words, span_words
from companion.listen.rhythm.pace import TREND, UNSTEADY, TempoHeard, TempoStretch
from companion.listen.verdict.matter.drills import Drill
from companion.listen.verdict.matter.evidence import Evidence, Matter

OFF_TIME = (FindingKind.EARLY, FindingKind.LATE)

TOGETHER = 3
"""This many notes off the metronome, but in time with each other, are a matter of tempo and not of single notes."""

REALLY_OFF_MS = 150.0
"""A note so far from the pulse was late or early by itself, however unsteady the tempo is (a choice, no source)."""

ANOTHER = 0.01
"""A tempo that differs by this share from the metronome's is another one."""


def another_tempo(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """All stretches at another tempo as one matter, with every note that they put off its time; none without a
    stretch."""
    pace = evidence.pace
    if pace is None or not pace.stretches:
        return []
    slowest = min(pace.stretches, key=lambda each: each.qpm)
    group = tuple(each for each in left if each.kind in OFF_TIME and _belongs(evidence, pace, each))
    text = " ".join(_stretch_words(evidence, pace, each) for each in pace.stretches)
    steady_bpm = pace.in_beats(min(pace.qpm, slowest.qpm))
    drill = Drill(
        f"Set the metronome to {steady_bpm:.0f}, which the hardest bars allow, and play everything at that; faster "
        "only when all of it is clean.",
        slowest.first,
        slowest.last,
        1.0,
    )
    return [Matter(group or (stands_for(evidence, slowest.first, slowest.qpm < pace.qpm, text),), drill, text)]


def _belongs(evidence: Evidence, pace: TempoHeard, finding: Finding) -> bool:
    """Whether a note was off its time because of a stretch: within it, or against the metronome that it left behind."""
    if finding.played not in evidence.off_own_pulse and evidence.metronome_bpm is not None:
        return True
    return any(each.first - TOGETHER <= finding.played <= each.last + TOGETHER for each in pace.stretches)


def _stretch_words(evidence: Evidence, pace: TempoHeard, stretch: TempoStretch) -> str:
    first, last = bar_phrase(evidence.asked, stretch.first), bar_phrase(evidence.asked, stretch.last)
    where = f"In {first}" if first == last else f"From {first} to {last}"
    other, rest = pace.in_beats(stretch.qpm), pace.in_beats(pace.qpm)
    return f"{where} you played at {other:.0f}, elsewhere at {rest:.0f}."


def off_the_metronome(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """One matter for all notes that are off the metronome and yet in time with each other; none from fewer than
    TOGETHER."""
    pace, kept_bpm = evidence.pace, evidence.metronome_bpm
    group = tuple(each for each in left if each.kind in OFF_TIME and each.played not in evidence.off_own_pulse)
    if pace is None or kept_bpm is None or len(group) < TOGETHER:
        return []
    bpm = pace.in_beats(pace.qpm)
    drill_bpm = min(bpm, kept_bpm)
    text = (
        f"Set the metronome to {drill_bpm:.0f} and play {bars_words([group[0].bar])} until each beat falls on a click; "
        "then go on, bar by bar, and only then faster."
    )
    drill = Drill(text, *evidence.bar_of(group[0].played), 1.0)
    return [Matter(group, drill, _against(pace, bpm, kept_bpm, group))]


def _against(pace: TempoHeard, bpm: float, kept_bpm: float, group: Sequence[Finding]) -> str:
    if not pace.is_steady:
        slowest, fastest = (f"{pace.in_beats(each):.0f}" for each in (pace.slowest_qpm, pace.fastest_qpm))
        between = f"you played between {slowest} and {fastest}"
        return f"You did not stay with the metronome: it kept {kept_bpm:.0f}, {between}."
    if abs(bpm / kept_bpm - 1.0) >= ANOTHER:
        places = 0 if round(bpm) != round(kept_bpm) else 1
        went = "fell behind" if bpm < kept_bpm else "ran ahead of"
        return f"The metronome kept {kept_bpm:.{places}f}, you played at {bpm:.{places}f} and {went} it."
    by = span_words([each.ms or 0.0 for each in group])
    kinds = {each.kind for each in group}
    if len(kinds) == 1:
        side = "behind" if FindingKind.LATE in kinds else "ahead of"
        return f"You kept the metronome's tempo, but {side} the click: {len(group)} notes, by {by}."
    return f"You drifted about the metronome, now ahead of it, now behind: {len(group)} notes, by {by}."


def unsteady(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """A tempo that ran away, dragged or wandered, and with it the notes that it left a little off their time; against a
    metronome only where nothing was said of that."""
    pace = evidence.pace
    if pace is None or pace.stretches or pace.passage or blamed_on_metronome(evidence):
        return []
    ran = abs(pace.trend) >= TREND
    if not ran and pace.wander < UNSTEADY:
        return []
    text = _ran(pace) if ran else _wandered(evidence, pace)
    played = pace.fastest if pace.trend > 0.0 else pace.slowest
    drill = Drill(
        f"Play the whole with the metronome at {pace.in_beats(min(pace.qpm, pace.first_qpm)):.0f}, then without it; at "
        "the end start it again, and see whether it is still your tempo.",
        *evidence.bar_of(played),
        1.0,
    )
    group = (each for each in left if each.kind in OFF_TIME and (each.ms or 0.0) < REALLY_OFF_MS)
    return [Matter((stands_for(evidence, played, pace.trend < 0.0, text), *group), drill, text)]


def blamed_on_metronome(evidence: Evidence) -> bool:
    """Whether notes were off a metronome that were in time with each other: that is told, and not the tempo by
    itself."""
    if evidence.metronome_bpm is None:
        return False
    return any(each.kind in OFF_TIME and each.played not in evidence.off_own_pulse for each in evidence.findings)


def _ran(pace: TempoHeard) -> str:
    first, last = (f"{pace.in_beats(each):.0f}" for each in (pace.first_qpm, pace.last_qpm))
    how = "ran away" if pace.trend > 0.0 else "dragged"
    return f"The tempo {how}: about {first} in the first third, {last} in the last."


def _wandered(evidence: Evidence, pace: TempoHeard) -> str:
    slowest, fastest = (f"{pace.in_beats(each):.0f}" for each in (pace.slowest_qpm, pace.fastest_qpm))
    return (
        f"The tempo wandered: {slowest} about {bar_phrase(evidence.asked, pace.slowest)}; {fastest} about "
        f"{bar_phrase(evidence.asked, pace.fastest)}."
    )


def stands_for(evidence: Evidence, played: int, slow: bool, text: str, cause: str = "tempo") -> Finding:
    """A finding for what no one note is to blame for, at the place where it was most so."""
    at_s = next((heard_s for index, heard_s in evidence.tally.places if index == played), 0.0)
    kind = FindingKind.LATE if slow else FindingKind.EARLY
    return finding_at(evidence.asked, played, kind, at_s=at_s, text=text, cause=cause, throughout=True)
