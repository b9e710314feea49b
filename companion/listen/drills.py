"""Drills: what to practise, and how, for each thing to learn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.listen.asked import Asked
from companion.listen.findings import Finding, FindingKind
from companion.listen.words import place_of
from fingering.chart import chart
from fingering.crossings.teaching import teach
from fingering.crossings.transition import Transition
from fingering.notes import Note

SLOWED = 2.0
MUCH_SLOWED = 4.0
"""How much slower than the take: enough for fingers to be placed one by one, for what is small much more."""


@dataclass(frozen=True, slots=True)
class Drill:
    """What to do, in words, and where: played notes `first` to `last` of the performance, `slow_down` times slower."""

    text: str
    first: int
    last: int
    slow_down: float


def drill_for(asked: Asked, findings: Sequence[Finding]) -> Drill:
    """The drill for findings of one cause: the thing alone, in its place, in its bar, slowed."""
    one = findings[0]
    slow_down = SLOWED if one.kind in _IN_TIME else MUCH_SLOWED
    before, after = (0, 1) if one.kind in _WITH_NEXT else (1, 0)
    first, last = max(0, one.played - before), min(len(asked.schedule.played) - 1, one.played + after)
    where = f"bar {one.bar}" if one.bar else "the pick-up"
    return Drill(_text(asked, one, where), first, last, slow_down)


_IN_TIME = frozenset(
    {FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING, FindingKind.BREAK, FindingKind.RESTART}
)
_WITH_NEXT = frozenset({FindingKind.POINTING})


def _text(asked: Asked, finding: Finding, where: str) -> str:
    match finding.kind:
        case FindingKind.CROSSING:
            return _crossing(finding, where)
        case FindingKind.MISSING_GRACENOTE | FindingKind.WRONG_GRACENOTE | FindingKind.LONG_GRACENOTE:
            return _embellishment(asked, finding, where)
        case FindingKind.UNEVEN:
            place = place_of(asked, finding.played)
            return f"Play {place} four times slower, every gracenote the same length, ten times; then in {where}."
        case FindingKind.EXTRA_GRACENOTE | FindingKind.EXTRA_NOTE:
            return (
                f"Play into {where} four times slower and leave {finding.place} out; look at the fingers, not the page."
            )
        case FindingKind.WRONG_NOTE | FindingKind.MISSING_NOTE:
            return f"Sing {where}, then play it four times slower, naming each note; then with the bar before it."
        case FindingKind.POINTING:
            pair = f"the two notes from {finding.place} in {where}"
            return (
                f"Play {pair} over and over, {finding.asked} in length, the long one too long at first; then the bar."
            )
        case FindingKind.EARLY | FindingKind.LATE:
            return f"Play {where} with the metronome at half speed, tapping the foot; then the phrase."
        case FindingKind.BREAK:
            return f"Breathe, if you must, where a phrase ends, and keep the sound through {where}."
        case FindingKind.RESTART:
            return (
                f"Join {where} to what comes before it: the last two bars and this one, half speed, without stopping."
            )


def _crossing(finding: Finding, where: str) -> str:
    assert finding.crossing is not None
    before, after = (Note.from_letter(letter) for letter in (finding.crossing.before, finding.crossing.after))
    lesson = teach(Transition(chart(before), chart(after)))
    return (
        f"Play {before.label} and {after.label} back and forth, four times slower, each held until it is quiet: "
        f"{lesson.sentence}. Ten times clean, then in {where}."
    )


def _embellishment(asked: Asked, finding: Finding, where: str) -> str:
    embellishment = asked.schedule.embellishments[finding.played]
    how = embellishment.family.how_it_is_played if embellishment is not None else ""
    return f"Play {place_of(asked, finding.played)} alone, four times slower, ten times; then in {where}. {how}".strip()
