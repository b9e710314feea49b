"""Findings from extra notes: which finger made a crossing noise, which note or gracenote was not asked for."""

from __future__ import annotations

from companion.listen.find.extra.neighbour import Neighbour
from companion.listen.find.extra.slips import CrossingHeard, ExtraHeard, SlipHeard, length_ms
from companion.listen.model.asked import Asked
from companion.listen.model.findings import CrossingDetail, Finding, FindingKind, finding_at
from companion.listen.model.strictness import Limits
from companion.listen.model.words import a_gracenote, bar_words, finger_words, grace_name, letters, named
from fingering.chart import chart
from fingering.crossings.blame import Explanation
from fingering.holes import Finger

SURE = 0.8
"""A finger that is known with less certainty than this, 0 to 1, is said to be probably the one: notes alone do not
always tell."""

SHARED_BLAME = 0.5
"""A finger that was off its time by less than this share of what the guiltiest was is innocent."""


def slip_finding(asked: Asked, limits: Limits, slip: SlipHeard, played: int) -> Finding:
    """Return the finding that a slip before a played note makes."""
    if isinstance(slip, CrossingHeard):
        return _crossing(asked, limits, slip, played)
    return _extra(asked, slip, played)


def _crossing(asked: Asked, limits: Limits, crossing: CrossingHeard, played: int) -> Finding:
    one, other, explanation = crossing.before.note, crossing.after.note, crossing.explanation
    heard = [each.note for each in crossing.extras]
    slip = explanation.slips[0]
    detail = CrossingDetail(
        one.letter, other.letter, explanation.sort.value, slip.finger, slip.ms, explanation.probability
    )
    likely = "" if explanation.probability >= SURE else "probably "
    when = "late" if slip.ms > 0.0 else "early"
    text = (
        f"{bar_words(asked, played)}: between {one.label} and {other.label} {likely}{finger_words(slip.finger)} "
        f"was {abs(slip.ms):.0f} ms {when}; {named(heard)} {'was' if len(heard) == 1 else 'were'} heard."
    )
    return finding_at(
        asked,
        played,
        FindingKind.CROSSING,
        at_s=crossing.extras[0].onset_s,
        wanted=other.letter,
        heard=letters(heard),
        fingers=_guilty(explanation, limits),
        ms=sum(map(length_ms, crossing.extras)),
        text=text,
        place=f"{one.label} to {other.label}",
        cause=("crossing", one, other),
        crossing=detail,
    )


def _guilty(explanation: Explanation, limits: Limits) -> tuple[Finger, ...]:
    """Return the fingers to blame, the guiltiest first, without those that were hardly off their time."""
    first, *others = explanation.slips
    least_ms = max(limits.crossing_ms, SHARED_BLAME * abs(first.ms))
    return (first.finger, *(slip.finger for slip in others if abs(slip.ms) >= least_ms))


def _extra(asked: Asked, slip: ExtraHeard, played: int) -> Finding:
    extra, is_note = slip.extra, slip.is_melody
    kind = FindingKind.EXTRA_NOTE if is_note else FindingKind.EXTRA_GRACENOTE
    what = extra.note.label if is_note else grace_name(extra.note)
    played_words = extra.note.label if is_note else a_gracenote(extra.note)
    between = _between(slip.before, slip.after)
    holding = slip.after or slip.before
    return finding_at(
        asked,
        played,
        kind,
        at_s=extra.onset_s,
        heard=extra.note.letter,
        fingers=chart(holding.segment.note).moves_to(chart(extra.note)) if is_note and holding else (),
        ms=length_ms(extra),
        text=f"{bar_words(asked, played)}: {played_words} was played{between} but is not in the tune.",
        place=what,
        cause=(kind, extra.note),
    )


def _between(before: Neighbour | None, after: Neighbour | None) -> str:
    """Return " between low A and B", " on E", or what there is to say where a neighbour is lacking."""
    if before is not None and after is not None:
        one, other = before.segment.note, after.segment.note
        return f" on {one.label}" if one is other else f" between {one.label} and {other.label}"
    if after is not None:
        return f" before {after.segment.note.label}"
    return f" after {before.segment.note.label}" if before is not None else ""
