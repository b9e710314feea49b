"""Finds the metre of a take, and where its bars begin."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from companion.notate.form.likeness import TakeLikeness
from companion.notate.form.parts import FoundForm, find_form
from companion.notate.pulse.counted import CountedTake
from companion.notate.pulse.feet import TICKS, FootKind
from companion.score.model import Meter

FAST_FEET = 98.0
"""From so many feet of two a minute on, a beat has two of them: a march in 2/4, or a reel."""

TEMPO_TELLS = 2.5
"""How much its tempo tells of a march, whether it is in 2/4 or 4/4: nothing else does."""

POINTED = 0.35
"""From this share of pointed notes on, among those that divide a foot, music with quick feet is no reel."""

MIXED, MIXING_TELLS = 0.17, 4.0
"""In quick music with pointed notes a march in 2/4 points nearly all pairs of its feet; from this share of even pairs
and cuts on it is rather a reel, and by how much that tells. Common practice, no source; the share lies between what two
simulators play. Near it the other one is told as well."""

CUT = 0.07
"""From this share of cuts and triplets on it is a strathspey."""

_SMALL_MARCH_FEET = 4


@dataclass(frozen=True, slots=True)
class FoundMetre:
    """A metre: the feet of a bar, which part of a whole note a foot is, and how many ticks precede the first bar.

    take: what was played, in which the first note may begin elsewhere than it did (see `_starts`). form: the parts in
    bars of this metre. cost: how unlikely it is, to be compared with others for the same take.
    """

    take: CountedTake
    meter: Meter
    feet: int
    foot: Fraction
    pick_up: int
    form: FoundForm
    cost: float

    @property
    def bar_ticks(self) -> int:
        """The ticks of a bar."""
        return self.feet * TICKS

    def length(self, ticks: int) -> Fraction:
        """A length in ticks as a part of a whole note."""
        return self.foot * Fraction(ticks, TICKS)


_WRITTEN_WEIGHT = 0.06
"""What each foot that is written costs; the same for all metres, but for what does not come back in their bars."""

_ODD_WEIGHT = 1.0
MOVED = 0.35
"""What it costs that the first note was out of time."""

MISSED = 2.0
"""What it costs that no part begins with a note."""

ONE_FOOT = 0.5
"""What a pick-up of one foot of four costs, which many a march has: a little less than others as long, by trial."""

LONG_PICK_UP, EACH_BAR_OF_IT = 0.9, 1.2
"""The cost of a longer one, and of each bar of it: more than one foot hardly ever precedes the first bar. Common
practice, no source."""

EMBELLISHED = 0.8
"""The cost of a pick-up that begins with an embellishment of several gracenotes, as first beats do. Common practice,
no source."""

_ACCENT_WEIGHT = 8.0
_FIRST_WEIGHT, _HALF_WEIGHT = 0.85, 0.15
_BEATS_OF_BAR = {FootKind.TWO: {2: 0.6, 3: 0.8, 4: 0.0}, FootKind.THREE: {2: 0.0, 3: 0.6, 4: 2.5}}


def find_metres(take: CountedTake, given: Meter | None = None) -> tuple[FoundMetre, ...]:
    """Return the metres that a take may be in, the likeliest first. given: the one that it is in."""
    found = list(_tried(take, given))
    if _misses(take, min(found, key=lambda each: each.cost)):
        for moved in _starts(take):
            found += [replace(each, cost=each.cost + MOVED) for each in _tried(moved, given)]
    return tuple(sorted(found, key=lambda each: each.cost))


def _starts(take: CountedTake) -> Iterator[CountedTake]:
    """Yield the take with its first note begun elsewhere: nothing before it measures it, and many begin out of time."""
    first = take.notes[0]
    steps = (-6, -4, -3, 3, 4, 6) if take.kind is FootKind.TWO else (-4, -2, 2, 4)
    for by in dict.fromkeys((*steps, -first.start)):
        if first.length > by and first.start + by >= 0 and by:
            moved = replace(first, start=first.start + by, length=first.length - by)
            yield replace(take, notes=(moved, *take.notes[1:]))


def _misses(take: CountedTake, metre: FoundMetre) -> float:
    """The share of parts and repeats that begin where no note does: bars are counted from the first note, so that it
    shows whether that one was in time."""
    begun = {note.start for note in take.notes}
    origin = take.notes[0].start
    starts = [
        origin + (part.first + play * part.bars) * metre.bar_ticks
        for part in metre.form.parts
        for play in range(part.plays)
    ]
    return sum(start not in begun for start in starts) / len(starts)


def _tried(take: CountedTake, given: Meter | None) -> Iterator[FoundMetre]:
    likeness = TakeLikeness(take)
    accents = tuple(_accents(take))
    embellished = len(take.notes[0].graces) > 1
    for feet, prior in _BEATS_OF_BAR[take.kind].items():
        if given is not None and feet != feet_of(given, take.kind):
            continue
        form = find_form(take, feet, likeness)
        names = _names(take, feet) if given is None else (_Name(given, foot_of(given, take.kind)),)
        for lead in range(feet):
            pick_up = (lead * TICKS - take.notes[0].start) % (feet * TICKS)
            accented = _contrast(accents, feet, lead)
            lead_in = _pick_up_cost(pick_up, feet) + (EMBELLISHED if pick_up and embellished else 0.0)
            cost = _form_cost(form, feet) + prior - _ACCENT_WEIGHT * accented + lead_in
            for name in names:
                found = FoundMetre(take, name.meter, feet, name.foot, pick_up, form, cost + name.cost)
                yield replace(found, cost=found.cost + MISSED * _misses(take, found))


def _form_cost(form: FoundForm, feet: int) -> float:
    return _WRITTEN_WEIGHT * form.written * feet + _ODD_WEIGHT * form.odd


def feet_of(meter: Meter, kind: FootKind) -> int:
    """How many feet of a kind a bar of a metre has."""
    length = meter.bar_length or Fraction(1)
    return round(length / foot_of(meter, kind))


def foot_of(meter: Meter, kind: FootKind) -> Fraction:
    """Which part of a whole note a foot is: in 2/4 a quaver."""
    if kind is FootKind.THREE:
        return Fraction(3, meter.unit)
    if meter.beats == 2 and meter.unit == 4:
        return Fraction(1, 8)
    return Fraction(1, 4)


def kind_of(meter: Meter) -> FootKind:
    """Which feet a metre has."""
    return FootKind.THREE if meter.beat_length.numerator == 3 else FootKind.TWO


@dataclass(frozen=True, slots=True)
class _Name:
    """How bars may be called: a metre, the part of a whole note that a foot is then, and how unlikely that is."""

    meter: Meter
    foot: Fraction
    cost: float = 0.0


_COMMON, _STRATHSPEY, _CUT_COMMON = Meter(4, 4, "4/4"), Meter(4, 4, "C"), Meter(2, 2, "C|")
_SMALL_MARCH = Meter(2, 4, "2/4")


def _names(take: CountedTake, feet: int) -> tuple[_Name, ...]:
    """What bars of so many feet are called, likeliest first."""
    quarter = Fraction(1, 4)
    if take.kind is FootKind.THREE:
        return (_Name(Meter(3 * feet, 8, f"{3 * feet}/8"), Fraction(3, 8)),)
    if feet != _SMALL_MARCH_FEET:
        return (_Name(Meter(feet, 4, f"{feet}/4"), quarter),)
    rate = 60.0 / statistics.median(each.foot_s for each in take.notes)
    starts = [each.start % TICKS for each in take.notes if each.start % TICKS and each.length < TICKS]
    if (starts.count(9) + starts.count(3)) / max(1, len(starts)) < POINTED:
        return (_Name(_COMMON if rate < FAST_FEET else _CUT_COMMON, quarter),)
    if (starts.count(3) + starts.count(4)) / len(starts) > CUT:
        return (_Name(_COMMON if rate < FAST_FEET else _STRATHSPEY, quarter),)
    other = TEMPO_TELLS * abs(math.log(rate / FAST_FEET))
    names = _Name(_COMMON, quarter), _Name(_SMALL_MARCH, Fraction(1, 8))
    if rate < FAST_FEET:
        return names[0], replace(names[1], cost=other)
    reel = MIXING_TELLS * (MIXED - _mixed(take))
    return names[1], replace(names[0], cost=other), _Name(_CUT_COMMON, quarter, reel)


def _mixed(take: CountedTake) -> float:
    """The share of even pairs and cuts among those pairs of a foot that are even, cut or dotted."""
    lengths = [each.length for each in take.notes if each.start % TICKS == 0]
    mixed = lengths.count(6) + lengths.count(3)
    return mixed / max(1, mixed + lengths.count(9))


def _accents(take: CountedTake) -> Iterator[float]:
    """How much each foot is accented: by the note that begins with it, its length and its gracenotes."""
    begun = {each.start: each for each in take.notes}
    for foot in range(take.feet):
        note = begun.get(foot * TICKS)
        if note is None:
            yield 0.0
            continue
        graces = len(note.graces)
        yield 0.3 + 0.45 * min(note.length / TICKS, 2.0) + 0.15 * min(graces, 3) + (0.1 if graces > 3 else 0.0)


def _contrast(accents: Sequence[float], feet: int, lead: int) -> float:
    """How much more the first feet of bars are accented than others; the half of a bar of four half as much."""
    if len(accents) < feet:
        return 0.0
    mean = statistics.fmean(accents)
    first = statistics.fmean(accents[lead::feet]) - mean if accents[lead::feet] else 0.0
    if feet != 4:
        return first * (1.0 if feet == 3 else 0.7)
    half = accents[(lead + 2) % 4 :: 4]
    return _FIRST_WEIGHT * first + _HALF_WEIGHT * ((statistics.fmean(half) - mean) if half else 0.0)


def _pick_up_cost(pick_up: int, feet: int) -> float:
    if pick_up < TICKS:
        return 0.0
    if pick_up == TICKS and feet == _SMALL_MARCH_FEET:
        return ONE_FOOT
    return (0.3 if pick_up == TICKS else LONG_PICK_UP) + EACH_BAR_OF_IT * pick_up / (feet * TICKS)
