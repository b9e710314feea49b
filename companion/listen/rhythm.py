"""Early, late and pointing: melody onsets against the learner's own pulse, or against the metronome."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from statistics import median

from companion.listen.asked import Asked
from companion.listen.findings import Finding, FindingKind
from companion.listen.pulse import FIRST_NOTES, OUTLIER, Due, Metronome, Pulse, first_ratio
from companion.listen.strictness import Limits
from companion.listen.words import bar_words, melody_label
from companion.schedule.timing import Placement, Timing
from fingering.embellishments import Family

LEAST_POINTED = 1.9
"""A long and a short note are pointed when one was written at least nearly twice as long as the other."""

PAIR_SPREAD = 1.25
"""How much further the middle of a pair strays between its ends than one note alone does: three onsets have a part in it."""

FORESIGHT_NOTES = 60.0
"""How many notes back it counts how well a custom foresaw the beat."""

PLAUSIBLE = 7.0
"""A custom is out of the question when another foresaw the beats so much better: odds of one to a thousand."""

STALE_S = 0.001


@dataclass(frozen=True, slots=True)
class HeardUnit:
    """A melody note as it began: its first gracenote at `group_s`, itself at `onset_s`.

    plain: whether it was played as asked; otherwise either of the two moments may have been meant as its beat. apart:
    whether what came before tells nothing about when it was due.
    """

    played: int
    group_s: float
    onset_s: float
    plain: bool
    apart: bool


@dataclass(frozen=True, slots=True)
class Beat:
    """When a melody note was taken to have its beat, and when it was due; `off` tells whether it was far off."""

    played: int
    onset_s: float
    at_s: float
    due: Due | None
    off: bool


def _as_pipers_do(family: Family) -> Placement:
    return Timing().placements[family]


def _all_on(family: Family) -> Placement:
    return Placement.ON


def _all_before(family: Family) -> Placement:
    return Placement.BEFORE


Custom = Callable[[Family], Placement]
CUSTOMS: tuple[Custom, ...] = (_as_pipers_do, _all_on, _all_before)
"""Where players put the beat of an embellishment; the first is the likeliest. The one that foresees best is believed."""


@dataclass(slots=True)
class Follower:
    """A pulse that hears beats by one custom, and how much they surprised it lately, as a negative log-likelihood."""

    custom: Custom
    pulse: Pulse | Metronome
    surprise: float = 0.0

    def count(self, due: Due, at_s: float) -> None:
        """Count one beat."""
        strays = min(abs(at_s - due.at_s) / due.spread_s, OUTLIER)
        surprise = 0.5 * strays**2 + math.log(due.spread_s)
        self.surprise += surprise - self.surprise / FORESIGHT_NOTES


@dataclass(frozen=True, slots=True)
class Pair:
    """Two notes that make one beat, one long, one short: played notes `first` and `first` + 1; ratio as asked for."""

    first: int
    ratio: float


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
    """Where in its bar each played note begins; a short bar is taken to end on the bar line."""
    places: list[Fraction] = []
    turn, at = None, Fraction(0)
    for each in asked.schedule.played:
        if each.turn != turn:
            full = each.bar.meter.bar_length
            turn, at = each.turn, (full - each.bar.length if full and each.bar.number == 0 else Fraction(0))
        places.append(at)
        at += each.note.duration
    return places


class Rhythm:
    """Judges melody onsets in the order in which they were heard."""

    def __init__(self, asked: Asked, limits: Limits, *, against_metronome: bool = False) -> None:
        self._asked, self._limits = asked, limits
        self._places_s = asked.schedule.note_onsets_s
        ends_s = (*self._places_s[1:], asked.schedule.duration_s)
        self._lengths_s = tuple(end - begin for begin, end in zip(self._places_s, ends_s, strict=True))
        self._pairs = pairs(asked)
        self._against_metronome = against_metronome
        self._followers: list[Follower] = []
        self._waiting: list[HeardUnit] = []
        self._recent: list[Beat] = []
        self.beats: list[Beat] = []

    def cut(self) -> list[Finding]:
        """What follows has nothing to do with what was before: a stop, a leap, the end."""
        found = self._begin() if len(self._waiting) > 2 else []
        self._waiting.clear()
        self._recent.clear()
        for follower in self._followers:
            follower.pulse.cut()
        return found

    def heard(self, unit: HeardUnit) -> list[Finding]:
        """Take in the next melody note."""
        if not self._followers:
            self._waiting.append(unit)
            return self._begin() if len(self._waiting) >= FIRST_NOTES else []
        return self._judge(unit)

    def _begin(self) -> list[Finding]:
        waiting, self._waiting = self._waiting, []
        for custom in CUSTOMS:
            pulse = self._first_pulse([(self._places_s[unit.played], self._moment_s(custom, unit)) for unit in waiting])
            if pulse is None:
                self._followers.clear()
                return []
            self._followers.append(Follower(custom, pulse))
        return [finding for unit in waiting for finding in self._judge(unit)]

    def _first_pulse(self, moments: list[tuple[float, float]]) -> Pulse | Metronome | None:
        if self._against_metronome:
            offset_s = median(at_s - place_s for place_s, at_s in moments)
            return Metronome(offset_s, self._beat_length_s())
        ratio = first_ratio(moments)
        return Pulse(ratio) if ratio is not None and ratio > 0.0 else None

    def _beat_length_s(self) -> float:
        beats = self._asked.schedule.beats
        return median(after.at_s - before.at_s for before, after in pairwise(beats)) if len(beats) > 1 else 1.0

    def _judge(self, unit: HeardUnit) -> list[Finding]:
        best = min(self._followers, key=lambda follower: follower.surprise)
        plausible = [each for each in self._followers if each.surprise <= best.surprise + PLAUSIBLE]
        beat = self._beat(best, unit)
        if beat.off and not all(self._beat(each, unit).off for each in plausible):
            beat = replace(beat, off=False)
        for follower in self._followers:
            self._follow(follower, unit)
        if beat.due is None:
            return self._keep(beat)
        off_s = beat.at_s - beat.due.at_s
        if unit.apart:
            self._recent.clear()
            return self._keep(replace(beat, off=False))
        found = self._keep(beat)
        if beat.off and not self._is_short_side(unit.played, off_s):
            found.append(self._off_time(unit, off_s))
        return found

    def hesitated(self, from_s: float, to_s: float) -> bool:
        """Whether a note that was far off its time began between these two moments."""
        return any(beat.off and from_s <= beat.onset_s <= to_s for beat in self.beats)

    # --- where the beat is ---

    def _beat(self, follower: Follower, unit: HeardUnit) -> Beat:
        """When a note had its beat by one custom, and whether that was off its time."""
        place_s, length_s = self._places_s[unit.played], self._lengths_s[unit.played]
        pulse = follower.pulse
        if not pulse.running:
            return Beat(unit.played, unit.onset_s, self._moment_s(follower.custom, unit), None, False)
        due = pulse.due(place_s, length_s)
        limit_s = max(self._limits.off_time_ms / 1000.0, self._limits.off_time_spreads * due.spread_s)
        at_s = self._moment_s(follower.custom, unit, due.at_s)
        nearest_s = min(max(due.at_s, unit.group_s), unit.onset_s)
        off = abs(at_s - due.at_s) >= limit_s and abs(nearest_s - due.at_s) >= 0.5 * limit_s
        rival_s = pulse.rival_due_s(place_s)
        if off and rival_s is not None:
            off = abs(self._moment_s(follower.custom, unit, rival_s) - rival_s) >= limit_s
        return Beat(unit.played, unit.onset_s, at_s, due, off)

    def _follow(self, follower: Follower, unit: HeardUnit) -> None:
        """Let one custom's pulse hear the note, and count how well it had foreseen it."""
        place_s, length_s = self._places_s[unit.played], self._lengths_s[unit.played]
        pulse = follower.pulse
        due = pulse.due(place_s, length_s) if pulse.running else None
        at_s = self._moment_s(follower.custom, unit, due.at_s if due else None)
        if due is not None and unit.plain:
            follower.count(due, at_s)
        pulse.heard(place_s, length_s, at_s, unsure_s=0.0 if unit.plain else 0.5 * (unit.onset_s - unit.group_s))

    def _moment_s(self, custom: Custom, unit: HeardUnit, due_s: float | None = None) -> float:
        """The moment meant as the beat; where something was amiss, whatever is nearest to when it was due."""
        if due_s is not None and not unit.plain:
            return min(max(due_s, unit.group_s), unit.onset_s)
        embellishment = self._asked.schedule.embellishments[unit.played]
        if embellishment is None:
            return unit.onset_s
        return unit.onset_s if custom(embellishment.family) is Placement.BEFORE else unit.group_s

    # --- pointing ---

    def _is_short_side(self, played: int, off_s: float) -> bool:
        """Whether a note is the second of a pair and strays to the side that makes the two more alike: then its pointing
        is what is judged, not its time."""
        pair = self._pairs.get(played - 1)
        return pair is not None and (off_s < 0.0) == (pair.ratio > 1.0)

    def _keep(self, beat: Beat) -> list[Finding]:
        self.beats.append(beat)
        self._recent = [*self._recent[-2:], beat]
        if len(self._recent) < 3:
            return []
        one, two, three = self._recent
        pair = self._pairs.get(one.played)
        if pair is None or (two.played, three.played) != (one.played + 1, one.played + 2):
            return []
        return self._pointing(pair, one, two, three)

    def _pointing(self, pair: Pair, one: Beat, two: Beat, three: Beat) -> list[Finding]:
        begin_s, end_s = (each.due.at_s if each.off and each.due else each.at_s for each in (one, three))
        first_s, second_s = two.at_s - begin_s, end_s - two.at_s
        if first_s <= STALE_S or second_s <= STALE_S:
            return []
        played = first_s / second_s
        closer = pair.ratio / played if pair.ratio > 1.0 else played / pair.ratio
        due_s = begin_s + (end_s - begin_s) * pair.ratio / (1.0 + pair.ratio)
        spread_s = PAIR_SPREAD * two.due.spread_s if two.due else 0.0
        if closer < self._limits.pointing_ratio or abs(two.at_s - due_s) < self._limits.off_time_spreads * spread_s:
            return []
        return [self._unpointed(pair, one.onset_s, played, two.at_s - due_s)]

    # --- findings ---

    def _unpointed(self, pair: Pair, begin_s: float, played: float, off_s: float) -> Finding:
        asked_words, played_words = ratio_words(pair.ratio), ratio_words(played)
        one, other = melody_label(self._asked, pair.first), melody_label(self._asked, pair.first + 1)
        wish = f"hold {one}, cut {other}" if pair.ratio > 1.0 else f"cut {one}, hold {other}"
        if (played > 1.0) != (pair.ratio > 1.0):
            wish = f"the long one was the shorter: {wish}"
        text = f"{bar_words(self._asked, pair.first)}: {one} to {other} was {played_words} where {asked_words} is asked; {wish}."
        return self._finding(
            FindingKind.POINTING, begin_s, pair.first, asked_words, played_words, abs(off_s), text, "pointing"
        )

    def _off_time(self, unit: HeardUnit, off_s: float) -> Finding:
        kind = FindingKind.LATE if off_s > 0.0 else FindingKind.EARLY
        label = melody_label(self._asked, unit.played)
        against = "the metronome" if self._against_metronome else "your pulse"
        text = f"{bar_words(self._asked, unit.played)}: {label} came {abs(off_s) * 1000.0:.0f} ms {kind.value} against {against}."
        note = self._asked.played(unit.played).note.note
        letter = note.letter if note is not None else ""
        return self._finding(kind, unit.onset_s, unit.played, letter, letter, abs(off_s), text, kind.value)

    def _finding(
        self, kind: FindingKind, at_s: float, played: int, asked: str, heard: str, off_s: float, text: str, cause: str
    ) -> Finding:
        each = self._asked.played(played)
        place = melody_label(self._asked, played)
        return Finding(
            kind, at_s, each.bar.number, each.note.index, played, asked, heard, (), off_s * 1000.0, text, place, cause
        )


def ratio_words(ratio: float) -> str:
    """ "3:1", "1:2.4": a ratio of two lengths with the smaller as 1."""
    more = max(ratio, 1.0 / ratio)
    shown = f"{more:.1f}".removesuffix(".0") if more < 99.5 else f"{more:.0f}"
    return f"{shown}:1" if ratio >= 1.0 else f"1:{shown}"


def spread_of(values: list[float]) -> float:
    """Standard deviation about zero."""
    return math.sqrt(sum(value * value for value in values) / len(values)) if values else 0.0
