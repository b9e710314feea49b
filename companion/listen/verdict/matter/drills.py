"""Drills: what to practise, and how, for each thing to learn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from companion.listen.model.asked import Asked
from companion.listen.model.findings import Finding, FindingKind
from companion.listen.model.words import bars_words, place_to_play
from companion.listen.verdict.matter.sentences import worst_of
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


SLOW_BPM = 45.0
"""Who plays fewer beats a minute than this is slow already: four times slower would be no music (a choice, no source).
"""


def for_slow_player(drill: Drill) -> Drill:
    """Return a drill as it is given to one who plays slowly already: twice as slow at most."""
    text = drill.text.replace("four times slower", "at half speed")
    return replace(drill, text=text, slow_down=min(drill.slow_down, SLOWED))


def drill_for(asked: Asked, findings: Sequence[Finding], stumbled: int | None = None) -> Drill:
    """The drill for findings of one cause: the thing alone, in its place, in its bar, slowed, where it was worst.

    stumbled: the played note after which a restart came; that is where it is mended.
    """
    one = worst_of(findings)
    if one.kind is FindingKind.RESTART:
        return _go_on(asked, one.played if stumbled is None else stumbled)
    slow_down = SLOWED if one.kind in _IN_TIME else MUCH_SLOWED
    before, after = (0, 1) if one.kind in _WITH_NEXT else (1, 0)
    first, last = max(0, one.played - before), min(len(asked.schedule.played) - 1, one.played + after)
    return Drill(_text(asked, one, bars_words([one.bar])), first, last, slow_down)


_IN_TIME = frozenset({FindingKind.EARLY, FindingKind.LATE, FindingKind.POINTING, FindingKind.BREAK, FindingKind.ORDER})
_WITH_NEXT = frozenset({FindingKind.POINTING})


def _go_on(asked: Asked, stumbled: int) -> Drill:
    """The bar of a stumble with its neighbours."""
    turn = asked.played(stumbled).turn
    near = [rank for rank, each in enumerate(asked.schedule.played) if abs(each.turn - turn) <= 1]
    numbers = [asked.played(rank).bar.number for rank in near]
    text = f"Play {bars_words(numbers)} at half speed and do not stop, whatever slips; mend that afterwards."
    return Drill(text, near[0], near[-1], SLOWED)


def _text(asked: Asked, finding: Finding, where: str) -> str:
    if finding.throughout and finding.kind is FindingKind.LONG_GRACENOTE:
        return (
            "Hold low A, and lift one finger and put it back at once, as small a movement as sounds, ten times over; "
            f"then {where} four times slower with every gracenote as short as that."
        )
    match finding.kind:
        case FindingKind.CROSSING:
            return _crossing(finding, where)
        case FindingKind.MISSING_GRACENOTE | FindingKind.WRONG_GRACENOTE | FindingKind.LONG_GRACENOTE:
            return _embellishment(asked, finding, where)
        case FindingKind.UNEVEN:
            place = place_to_play(asked, finding.played)
            return f"Play {place} four times slower, every gracenote the same length, ten times; then in {where}."
        case FindingKind.EXTRA_GRACENOTE | FindingKind.EXTRA_NOTE:
            return f"Play {where} four times slower without {finding.place}, and look at the fingers, not at the page."
        case FindingKind.WRONG_NOTE | FindingKind.MISSING_NOTE:
            side = "after" if asked.played(finding.played).turn == asked.played(0).turn else "before"
            return f"Sing {where}, then play it four times slower, naming each note; then with the bar {side} it."
        case FindingKind.POINTING:
            return (
                f"Play the two notes from {finding.place} in {where} over and over, {_ratio(finding.asked)} in length, "
                "the long one too long at first; then the whole bar."
            )
        case FindingKind.EARLY | FindingKind.LATE:
            return f"Play {where} with the metronome at half speed, tapping the foot; then the phrase."
        case FindingKind.ORDER:
            return f"Say the order of the parts aloud, then play them, naming each as it begins; look out for {where}."
        case _:
            return f"Breathe, if you must, where a phrase ends, and keep the sound through {where}."


def _ratio(asked: str) -> str:
    """ "3 to 1" from "3:1"."""
    return asked.replace(":", " to ")


def _crossing(finding: Finding, where: str) -> str:
    assert finding.crossing is not None
    before, after = (Note.from_letter(letter) for letter in (finding.crossing.before, finding.crossing.after))
    lesson = teach(Transition(chart(before), chart(after)))
    return (
        f"Play {before.label} and {after.label} back and forth, four times slower, each held until it is quiet. "
        f"{lesson.sentence[0].upper()}{lesson.sentence[1:]}. Ten times clean, then in {where}."
    )


def _embellishment(asked: Asked, finding: Finding, where: str) -> str:
    embellishment = asked.schedule.embellishments[finding.played]
    how = embellishment.how_it_is_played if embellishment is not None else ""
    place = place_to_play(asked, finding.played)
    return f"Play {place} four times slower, ten times clean; then in {where}. {how}".strip()
