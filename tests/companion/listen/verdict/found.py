"""Findings put together by hand, for facts about what is made of them."""

from __future__ import annotations

from fractions import Fraction

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.tally import Tally
from companion.listen.model.words import melody_label
from companion.listen.rhythm.pace import TempoHeard, TempoStretch
from companion.listen.verdict.matter.evidence import Evidence


def finding(
    asked: Asked, kind: FindingKind, played: int, ms: float | None = None, cause: str = "one", letters: str = ""
) -> Finding:
    """A finding at a played note of a take at the tune's own tempo."""
    each = asked.played(played)
    at_s = asked.schedule.note_onsets_s[played]
    place = melody_label(asked, played)
    text = f"{kind.value} at {played}."
    return Finding(kind, at_s, each.bar.number, each.note.rank, played, letters, letters, (), ms, text, place, cause)


def tally_of(asked: Asked, *, gracenotes: int = 0, gracenotes_right: int = 0) -> Tally:
    """A take in which every note was heard at its place."""
    notes = len(asked.schedule.played)
    places = tuple(enumerate(asked.schedule.note_onsets_s))
    return Tally(
        notes=notes, notes_right=notes, gracenotes=gracenotes, gracenotes_right=gracenotes_right, places=places
    )


def tempo(
    qpm: float,
    slowest_qpm: float | None = None,
    fastest_qpm: float | None = None,
    beat: Fraction = Fraction(1, 4),
    stretches: tuple[TempoStretch, ...] = (),
) -> TempoHeard:
    """A tempo that wandered so far and came back, as slow and as fast as that at the first note."""
    slowest_qpm, fastest_qpm = slowest_qpm or qpm, fastest_qpm or qpm
    return TempoHeard(qpm, slowest_qpm, fastest_qpm, beat, qpm, qpm, 0, 0, stretches)


def evidence(
    asked: Asked,
    findings: list[Finding],
    *,
    tally: Tally | None = None,
    pace: TempoHeard | None = None,
    metronome_bpm: float | None = None,
    off_own_pulse: frozenset[int] = frozenset(),
) -> Evidence:
    """What a verdict on a whole take is made of."""
    return Evidence(asked, tuple(findings), tally or tally_of(asked), pace, metronome_bpm, off_own_pulse)
