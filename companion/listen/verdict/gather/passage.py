"""A passage at a tempo of its own, as something to learn: the tempo falls where it gets harder, or runs away there."""

from __future__ import annotations

from collections.abc import Sequence

from companion.listen.model.findings import Finding
from companion.listen.model.words import bar_phrase, ordinal
from companion.listen.rhythm.pace import TempoHeard
from companion.listen.rhythm.tempo_passage import TempoPassage
from companion.listen.verdict.gather.tempo import OFF_TIME, REALLY_OFF_MS, TOGETHER, blamed_on_metronome, stands_for
from companion.listen.verdict.matter.drills import Drill
from companion.listen.verdict.matter.evidence import Evidence, Matter

CAUSE = "passage"

NEAR_TURNS = 2
"""A tempo that changes within so many bars of where a part begins or ends, pick-ups counted, changes with the part: it
takes a bar or so to change."""


def passage(evidence: Evidence, left: Sequence[Finding]) -> list[Matter]:
    """A passage at a tempo of its own, and the notes around its ends that this left a little off their time; against a
    metronome only where nothing was said of that."""
    pace = evidence.pace
    if pace is None or pace.passage is None or blamed_on_metronome(evidence):
        return []
    held = pace.passage
    falls = held.qpm < held.rest_qpm
    rest, own = (f"{pace.in_beats(each):.0f}" for each in (held.rest_qpm, held.qpm))
    text = f"The tempo {'fell' if falls else 'rose'} from {rest} to {own} {_where(evidence, held)}."
    if evidence.asked.played(held.first).turn == evidence.asked.played(0).turn:
        text = f"You played at {own} {_where(evidence, held)}, and at {rest} after that."
    group = (each for each in left if each.kind in OFF_TIME and _at_an_end(held, each))
    return [Matter((stands_for(evidence, held.first, falls, text, CAUSE), *group), _drill(evidence, pace, held), text)]


def without_changes(findings: Sequence[Finding], matters: Sequence[Matter]) -> tuple[Finding, ...]:
    """Return findings without the notes that were off their time only because a passage begins or ends there."""
    told = {id(each) for matter in matters if matter.findings[0].cause == CAUSE for each in matter.findings}
    return tuple(each for each in findings if id(each) not in told)


def _at_an_end(held: TempoPassage, finding: Finding) -> bool:
    near = min(abs(finding.played - held.first), abs(finding.played - held.last)) <= TOGETHER
    return near and (finding.ms or 0.0) < REALLY_OFF_MS


def _drill(evidence: Evidence, pace: TempoHeard, held: TempoPassage) -> Drill:
    """Play over the place where the tempo changes at the slower of the two tempos."""
    before, _ = evidence.bar_of(max(0, evidence.bar_of(held.first)[0] - 1))
    _, last = evidence.bar_of(held.first)
    slower = pace.in_beats(min(held.qpm, held.rest_qpm))
    text = (
        f"Set the metronome to {slower:.0f} and play from {bar_phrase(evidence.asked, before)} into what follows, over "
        "and over, until nothing changes there; then the whole at that, and only then faster."
    )
    return Drill(text, before, last, 1.0)


# --- where, in words ---


def _where(evidence: Evidence, held: TempoPassage) -> str:
    """ "in the second part", "from the second part on", "from bar 9 on", "from bar 9 to bar 12"."""
    part = _part_begun(evidence, held)
    if part is not None:
        ends = [turn for turn, each in enumerate(evidence.parts) if each == part]
        last = evidence.asked.played(held.last).turn
        if abs(last - ends[-1]) <= NEAR_TURNS or (held.to_end and ends[-1] >= last):
            return f"in the {ordinal(part + 1)} part"
        if held.to_end:
            return f"from the {ordinal(part + 1)} part on"
    first, end = (bar_phrase(evidence.asked, each) for each in (held.first, held.last))
    return f"from {first} on" if held.to_end else f"from {first} to {end}"


def _part_begun(evidence: Evidence, held: TempoPassage) -> int | None:
    """The index of the part that begins, for the first time, where a passage does; None where none does."""
    parts = evidence.parts
    turn = evidence.asked.played(held.first).turn
    begun = [each for each, part in enumerate(parts) if part not in parts[:each]]
    near = min(begun[1:], key=lambda each: abs(each - turn), default=None)
    return parts[near] if near is not None and abs(near - turn) <= NEAR_TURNS else None
