"""Pointing: pairs of a long and a short note, and how unequal they were played."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from companion.listen.asked import Asked
from companion.listen.customs import Beat
from companion.listen.strictness import Limits

LEAST_POINTED = 1.9
"""A long and a short note are pointed when one was written at least nearly twice as long as the other."""

PAIR_SPREAD = 1.4
"""How much further the middle of a pair strays than one note alone does: three onsets have a part in it."""

STALE_S = 0.001


@dataclass(frozen=True, slots=True)
class Pair:
    """Two notes within one beat, one long, one short: played notes `first` and `first` + 1; ratio as asked for."""

    first: int
    ratio: float


@dataclass(frozen=True, slots=True)
class Unpointed:
    """A pair played too even: the ratio played, and how far the second note was from where it should have been."""

    pair: Pair
    ratio: float
    off_s: float


def pairs(asked: Asked) -> dict[int, Pair]:
    """The pointed pairs of a tune by their first played note."""
    found: dict[int, Pair] = {}
    at = _places_in_bar(asked)
    for first, (one, two) in enumerate(pairwise(asked.schedule.played)):
        a, b = one.note, two.note
        if a.note is None or b.note is None or one.turn != two.turn or first - 1 in found or not b.duration:
            continue
        beat = one.bar.meter.beat_length
        within = at[first] % beat + a.duration + b.duration <= beat
        ratio = float(a.duration / b.duration)
        if within and max(ratio, 1.0 / ratio) >= LEAST_POINTED:
            found[first] = Pair(first, ratio)
    return found


def _places_in_bar(asked: Asked) -> list[Fraction]:
    """Where in its bar each played note begins; a pick-up is taken to end on the bar line."""
    places: list[Fraction] = []
    turn, at = None, Fraction(0)
    for each in asked.schedule.played:
        if each.turn != turn:
            full = each.bar.meter.bar_length
            turn, at = each.turn, (full - each.bar.length if full and each.bar.number == 0 else Fraction(0))
        places.append(at)
        at += each.note.duration
    return places


def unpointed(pair: Pair, beats: Sequence[Beat], limits: Limits) -> Unpointed | None:
    """Whether a pair was played too even, from its two beats and the next one; None if it was not."""
    one, two, three = beats
    begin_s, end_s = (each.due.at_s if each.off and each.due else each.at_s for each in (one, three))
    first_s, second_s = two.at_s - begin_s, end_s - two.at_s
    if first_s <= STALE_S or second_s <= STALE_S:
        return None
    played = first_s / second_s
    closer = pair.ratio / played if pair.ratio > 1.0 else played / pair.ratio
    off_s = two.at_s - (begin_s + (end_s - begin_s) * pair.ratio / (1.0 + pair.ratio))
    noise_s = PAIR_SPREAD * two.due.noise_s if two.due else 0.0
    if closer < limits.pointing_ratio or abs(off_s) < limits.off_time_spreads * noise_s:
        return None
    return Unpointed(pair, played, off_s)


def ratio_words(ratio: float) -> str:
    """ "3:1", "1:2.4": a ratio of two lengths with the smaller as 1."""
    more = max(ratio, 1.0 / ratio)
    shown = f"{more:.1f}".removesuffix(".0") if more < 99.5 else f"{more:.0f}"
    return f"{shown}:1" if ratio >= 1.0 else f"1:{shown}"
