"""Pointing: pairs of a long and a short note, and how unequal they were played."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise, product
from typing import NamedTuple

import numpy as np

from companion.listen.model.asked import Asked
from companion.listen.model.strictness import Limits
from companion.listen.rhythm.heard import BeatHeard
from companion.listen.rhythm.off_time import spreads_needed_one_side
from companion.listen.rhythm.pulse import Due
from companion.score.model import Bar

LEAST_POINTED = 1.9
"""A long and a short note are pointed when one was written at least nearly twice as long as the other."""

STALE_S = 0.001

EVEN_FROM, EVEN_TO = 0.7, 1.6
STRAY_S = 0.145
"""Between these ratios of the long note to the short one a pair is even. Outside of them its second note, if it is so
far out of its place (s), is off its time, and it is no matter of pointing (choices, no source)."""

HABIT_SPREAD = 0.15
"""How much pipers differ in pointing, as a logarithm of the ratio: some cut short notes to half of what is written
(common practice, no source)."""

EQUAL_SPREAD = 0.08
"""How much pipers differ in how they play two equal notes, as a logarithm of the ratio of the first to the second: up
to a quarter more for the first (common practice, no source)."""

MISTRUST, MOST_MISTRUST = 0.25, 0.6
"""Each pair that is no habit adds MISTRUST to the standard deviation of the habit, up to MOST_MISTRUST. From a standard
deviation of MISTRUST on, the second notes of pairs tell nothing of the pulse, for they are just what is amiss."""

KNOWN_SPREAD = 0.1
"""A habit is known when its standard deviation is no more than this: after one pair that is like it."""

SAME_HABIT = 0.005
"""Habits that differ by no more than this, as a logarithm of the ratio, are the same: in a pair that takes a second, 1
ms."""

HABIT_WANDER = 0.02
PAIR_RATIO_SPREAD = 0.12
MOST_HABIT = 0.6
"""Differences between logarithms of ratios, of the long note to the short one: how much a habit changes from pair to
pair, how much one pair strays from it, and beyond which difference from what is asked a pair is no habit but a slip."""

AS_SLIP = 8.0
"""A pair surprises no more than one of so many squared standard deviations (2.8 of them): it may be a slip."""

_HABITS = np.linspace(-MOST_HABIT, MOST_HABIT, 49)
"""The habits that are tried when one is fitted."""


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

    @property
    def is_even(self) -> bool:
        """Whether its notes were more alike than asked for, and not one of them far out of its place."""
        long_to_short = self.ratio if self.pair.ratio > 1.0 else 1.0 / self.ratio
        return EVEN_FROM <= long_to_short <= EVEN_TO or abs(self.off_s) < STRAY_S


def pairs(asked: Asked) -> dict[int, Pair]:
    """The pointed pairs of a tune by their first played note."""
    found: dict[int, Pair] = {}
    for first, (one, two) in enumerate(pairwise(_in_bars(asked))):
        if one.is_rest or two.is_rest or one.turn != two.turn or first - 1 in found or not two.length:
            continue
        ratio = one.length / two.length
        within = one.at % one.beat + one.length + two.length <= one.beat
        if within and max(ratio, 1.0 / ratio) >= LEAST_POINTED:
            found[first] = Pair(first, ratio)
    return found


def halves(asked: Asked) -> dict[int, Pair]:
    """Pairs of equal notes that share a beat, or a half or quarter of one, by their first played note."""
    found: dict[int, Pair] = {}
    for first, (one, two) in enumerate(pairwise(_in_bars(asked))):
        if one.is_rest or two.is_rest or one.turn != two.turn or not one.length or one.length != two.length:
            continue
        both = 2 * one.length
        if one.beat in (both, 2 * both, 4 * both) and one.at % both == 0:
            found[first] = Pair(first, 1.0)
    return found


class _InBar(NamedTuple):
    """A played note in its bar: where it begins, how long it is, and the bar's beat, in whole numbers of a length that
    measures all of them."""

    turn: int
    is_rest: bool
    at: int
    length: int
    beat: int


def _in_bars(asked: Asked) -> list[_InBar]:
    """Each played note in its bar; a pick-up is taken to end on the bar line."""
    played = asked.schedule.played
    bars = {each.turn: each.bar for each in played}
    beats = {turn: bar.meter.beat_length for turn, bar in bars.items()}
    begins = {turn: _begins(bar) for turn, bar in bars.items()}
    lengths = (*beats.values(), *begins.values(), *[each.note.duration for each in played])
    parts = math.lcm(*{each.denominator for each in lengths})
    found: list[_InBar] = []
    turn, at, beat = None, 0, 0
    for each in played:
        if each.turn != turn:
            turn = each.turn
            at, beat = int(begins[turn] * parts), int(beats[turn] * parts)
        length = each.note.duration.numerator * (parts // each.note.duration.denominator)
        found.append(_InBar(each.turn, each.note.note is None, at, length, beat))
        at += length
    return found


def _begins(bar: Bar) -> Fraction:
    """Where in its metre a bar begins: a pick-up late."""
    full = bar.meter.bar_length
    return full - bar.length if full and bar.number == 0 else Fraction(0)


def unpointed(pair: Pair, beats: Sequence[BeatHeard], limits: Limits) -> Unpointed | None:
    """Whether a pair was played too even, from its two beats and the next one, whatever moments were meant as their
    beats; None if it was not. The likeliest moments tell how even."""
    one, two, three = beats
    likely = product(_moments_s(one), two.moments_s, _moments_s(three))
    noises_s = [_noise_s(beat) for beat in beats]
    found = [_unpointed(pair, moments_s, two.due, noises_s, limits) for moments_s in likely]
    return found[0] if all(found) else None


def _noise_s(beat: BeatHeard) -> float:
    """How far the moment that is taken for a beat strays; 0 where that is not known."""
    if beat.due is None:
        return 0.0
    return beat.due.known_s if beat.off else beat.due.noise_s


def _moments_s(beat: BeatHeard) -> tuple[float, ...]:
    """The moments that may have been a beat; of one off its time, the moment when it was due."""
    return (beat.due.at_s,) if beat.off and beat.due else beat.moments_s


def _unpointed(
    pair: Pair, moments_s: Sequence[float], due: Due | None, noises_s: Sequence[float], limits: Limits
) -> Unpointed | None:
    begin_s, middle_s, end_s = moments_s
    first_s, second_s = middle_s - begin_s, end_s - middle_s
    if first_s <= STALE_S or second_s <= STALE_S:
        return None
    played = first_s / second_s
    closer = pair.ratio / played if pair.ratio > 1.0 else played / pair.ratio
    share = pair.ratio / (1.0 + pair.ratio)
    off_s = middle_s - (begin_s + (end_s - begin_s) * share)
    if closer < limits.pointing_ratio:
        return None
    shorter_s = min(share, 1.0 - share) * (end_s - begin_s)
    by_pair_s = math.hypot((1.0 - share) * noises_s[0], due.noise_s if due else 0.0, share * noises_s[2])
    least_s = spreads_needed_one_side(limits, shorter_s, by_pair_s) * by_pair_s
    if abs(off_s) < least_s and not _off_pulse(middle_s, off_s, shorter_s, due, limits):
        return None
    return Unpointed(pair, played, off_s)


def _off_pulse(middle_s: float, off_s: float, shorter_s: float, due: Due | None, limits: Limits) -> bool:
    """Whether the second note of a pair was off by the pulse as well, to the same side as by the pair's own notes: the
    pulse is known by more notes than these three."""
    if due is None:
        return False
    by_pulse_s = middle_s - due.at_s
    strays_s = math.hypot(due.known_s, due.noise_s)
    least_s = spreads_needed_one_side(limits, shorter_s, strays_s) * strays_s
    return by_pulse_s * off_s > 0.0 and abs(by_pulse_s) >= least_s


class Pointedness:
    """How much more, or less, than asked for a player points: the logarithm of played to asked, for each ratio that is
    asked for. Equal notes are among them: many play them a little unequal."""

    def __init__(self) -> None:
        self._habits: dict[float, _Habit] = {}

    def fitted(self) -> Pointedness:
        """Return the same habits, those of pointed pairs fitted to all pairs of the take: the one that was played even
        by a slip, among few, is none."""
        other = Pointedness()
        done = {id(habit): habit.fitted() for habit in self._habits.values()}
        other._habits = {ratio: done[id(habit)] for ratio, habit in self._habits.items()}
        return other

    def is_like(self, other: Pointedness) -> bool:
        """Whether both have learnt the same habits, to SAME_HABIT."""
        return self._habits.keys() == other._habits.keys() and all(
            abs(habit.more - other._habits[ratio].more) < SAME_HABIT
            and abs(habit.spread - other._habits[ratio].spread) < SAME_HABIT
            for ratio, habit in self._habits.items()
        )

    def shift(self, pair: Pair, length_s: float) -> tuple[float, float]:
        """How much later than asked for the second note of a pair, `length_s` long, comes by habit, and how sure that
        is. Seconds, or asked seconds, as `length_s` is."""
        habit = self._habit(pair)
        ratio = _pointed(pair.ratio, habit.more)
        steep = length_s * ratio / (1.0 + ratio) ** 2
        return length_s * (ratio / (1.0 + ratio) - pair.ratio / (1.0 + pair.ratio)), steep * habit.spread

    def trusted(self, pair: Pair) -> bool:
        """Whether the player has a habit for such pairs: else their second notes tell nothing of the pulse."""
        return self._habit(pair).spread < MISTRUST

    def known(self, pair: Pair) -> bool:
        """Whether such pairs were heard, and the player's habit is known by them."""
        return self._habit(pair).spread <= KNOWN_SPREAD

    def learn(self, pair: Pair, played_ratio: float) -> None:
        """A pair was played in this ratio."""
        more = math.log(played_ratio / pair.ratio) * (1.0 if pair.ratio >= 1.0 else -1.0)
        habit = self._habit(pair)
        if abs(more) <= MOST_HABIT:
            habit.learn(more)
        elif pair.ratio != 1.0:
            habit.spread = min(habit.spread + MISTRUST, MOST_MISTRUST)

    def _habit(self, pair: Pair) -> _Habit:
        """The habit for such pairs: one for all whose ratios are the same to two places."""
        found = self._habits.get(pair.ratio)
        if found is not None:
            return found
        alike = (habit for ratio, habit in self._habits.items() if round(ratio, 2) == round(pair.ratio, 2))
        first_spread = HABIT_SPREAD if pair.ratio != 1.0 else EQUAL_SPREAD
        return self._habits.setdefault(pair.ratio, next(alike, _Habit(spread=first_spread)))


@dataclass(slots=True)
class _Habit:
    """A Kalman filter of one number."""

    more: float = 0.0
    spread: float = HABIT_SPREAD
    heard: list[float] = field(default_factory=list)

    def fitted(self) -> _Habit:
        """Return the habit by all pairs heard, each of which may be a slip; as it is where there were none."""
        if not self.heard:
            return _Habit(self.more, self.spread)
        off = np.subtract.outer(_HABITS, self.heard) / PAIR_RATIO_SPREAD
        surprise = np.minimum(off**2, AS_SLIP).sum(axis=1) + (_HABITS / HABIT_SPREAD) ** 2
        weights = np.exp(0.5 * (surprise.min() - surprise))
        return _Habit(float(weights @ _HABITS / weights.sum()), self.spread)

    def learn(self, more: float) -> None:
        self.heard.append(more)
        variance = self.spread**2 + HABIT_WANDER**2
        gain = variance / (variance + PAIR_RATIO_SPREAD**2)
        self.more += gain * (more - self.more)
        self.spread = math.sqrt((1.0 - gain) * variance)


def _pointed(ratio: float, more: float) -> float:
    return ratio * math.exp(more if ratio >= 1.0 else -more)


def ratio_words(ratio: float) -> str:
    """ "3:1", "1:2.4": a ratio of two lengths with the smaller as 1."""
    more = max(ratio, 1.0 / ratio)
    shown = f"{more:.1f}".removesuffix(".0") if more < 99.5 else f"{more:.0f}"
    return f"{shown}:1" if ratio >= 1.0 else f"1:{shown}"
