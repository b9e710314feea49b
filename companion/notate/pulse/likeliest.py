"""Reads a take in every school of placing gracenotes and in feet of two and three, and learns from the best."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.notate.pulse.alike import averaged
from companion.notate.pulse.approached import Approached
from companion.notate.pulse.feet import (
    AS_WRITTEN,
    FEET_OF_THREE,
    FEET_OF_TWO,
    TICKS,
    FootHabits,
    FootKind,
    played_places,
    pointing_of,
)
from companion.notate.pulse.grace_habits import habits_of
from companion.notate.pulse.gracing import GraceReader, median_gracenote_s
from companion.notate.pulse.readings import Floats
from companion.notate.pulse.search import PlayingManner, PulseReading, read_pulse
from companion.notate.pulse.sounds import SoundingNote
from companion.schedule.timing import Placement, Timing

FIRST_STRAYS_S = 0.022
LEAST_STRAYS_S = 0.008
_ROUNDS = 2
CLOSE_KINDS = 5.0
"""Readings in feet of two and of three whose costs are closer are both read again."""

POINTINGS = (2.5, 3.0, 3.6, 4.4)
"""How sharply pairs of 3:1 may be pointed, to begin with."""

BLUNTEST, SHARPEST = 2.3, 4.8
POINTING_SPREAD, PAIRS_WORTH = 0.25, 10.0
"""How far players point otherwise than is written, as a standard deviation of the ratio's logarithm; and how many pairs
tell as much as that: where few pairs are pointed, those that are may be even ones out of time."""

BEGINNING = 160
"""Sounding notes at the beginning by which a player's school and pointing are told."""

SCHOOL_TELLS = 12.0
"""Schools whose costs are closer are told by more of the take: where all that was played so far is placed alike in
two of them, as doublings are, the first grip tells. Likelier by that is likelier a hundred thousand times."""

SLOW_FEET, FAST_SHARE = 45.0, 0.9
SLOWER = {FootKind.TWO: 0.25, FootKind.THREE: 0.1}
"""How seldom feet are slower than that, as a standard deviation of a logarithm: beginners' crotchets are; but what
looks like slow feet of three is the bars of an air in 3/4."""

QUICK_FEET = 105.0
SELDOM_DIVIDED = 0.3
UNDIVIDED = 25.0

ODD_STEP = {FootKind.TWO: (4, 4), FootKind.THREE: (6, 6)}
"""A triplet's second note and a duplet's."""

SELDOM_ODD = {FootKind.TWO: 0.2, FootKind.THREE: 0.05}
"""Hardly more feet of two than this share are divided into three, in strathspeys, nor feet of three into two: common
practice, no source."""

ODDLY_DIVIDED = 60.0
_PLACEMENTS = Timing().placements


@dataclass(frozen=True, slots=True)
class LikeliestReading:
    """The reading of a take, the notes that were read, at one tempo (see `averaged`), and the habits it was read
    with."""

    reading: PulseReading
    notes: Sequence[SoundingNote]
    habits: FootHabits


def _as_pipers_do(way: Approached) -> float:
    return 1.0 if way.family is not None and _PLACEMENTS[way.family] is Placement.BEFORE else 0.0


SCHOOLS: tuple[Callable[[Approached], float], ...] = (_as_pipers_do, lambda _way: 0.0, lambda _way: 1.0)


FootCosts = Callable[[FootHabits], Callable[[Floats], Floats]]


def usual_foot_costs(habits: FootHabits) -> Callable[[Floats], Floats]:
    """Return the cost of a foot's length in s: none within the tempos that tunes are played at."""
    _, high = habits.feet_a_minute

    def costs(periods: Floats) -> Floats:
        rates = 60.0 / periods
        slow, fast = np.log(SLOW_FEET / rates), np.log(rates / (FAST_SHARE * high))
        result: Floats = (
            2.0 * (np.maximum(0.0, slow) / SLOWER[habits.kind]) ** 2 + 2.0 * (np.maximum(0.0, fast) / 0.1) ** 2
        )
        return result

    return costs


def likeliest_reading(
    notes: Sequence[SoundingNote],
    habits: Sequence[FootHabits] = (FEET_OF_TWO, FEET_OF_THREE),
    foot_costs: FootCosts = usual_foot_costs,
) -> LikeliestReading | None:
    """Return the likeliest reading of a take; None where nothing was played. habits: the feet that it may be in."""
    gracing = GraceReader(notes, median_gracenote_s(notes))
    tried = [found for each in habits if (found := _read(_Task(notes, gracing, each, foot_costs(each)))) is not None]
    if not tried:
        return None
    least = min(each.cost for each in tried)
    again = [_read_again(each) for each in tried if each.cost - least <= CLOSE_KINDS]
    best = min(again, key=lambda each: each.cost)
    return LikeliestReading(best.reading, best.task.notes, best.habits)


def _read_again(found: _Found) -> _Found:
    """Read a take again with what was meant alike at the mean of its places."""
    median_s = found.task.gracing.median_s
    notes = averaged(found.task.notes, found.reading, found.habits.kind, found.manner.pointing, median_s)
    gracing = GraceReader(notes, median_gracenote_s(notes), found.task.gracing.habits)
    task = replace(found.task, notes=notes, gracing=gracing)
    return _learnt_reading(task, found.habits, found.manner) or found


@dataclass(frozen=True, slots=True)
class _Task:
    """What is to be read, by which habits."""

    notes: Sequence[SoundingNote]
    gracing: GraceReader
    habits: FootHabits
    foot_costs: Callable[[Floats], Floats]

    def read(self, habits: FootHabits, manner: PlayingManner, stop: int | None = None) -> PulseReading | None:
        return read_pulse(self.notes[:stop], self.gracing, habits, manner, self.foot_costs)


@dataclass(frozen=True, slots=True)
class _Found:
    """A reading of all of a take, and what was learnt from it."""

    task: _Task
    reading: PulseReading
    habits: FootHabits
    manner: PlayingManner

    @property
    def cost(self) -> float:
        """How unlikely it is, to be compared with readings in other feet."""
        return self.reading.cost + _undivided_cost(self.reading) + _oddly_divided_cost(self.reading, self.habits.kind)


def _read(task: _Task) -> _Found | None:
    """Read a take in feet of one kind: its beginning in every school and in several pointings, then all of it, learning
    the player's habits."""
    manner = _manner_of_school(task)
    if manner is None:
        return None
    manner = _best_manner(task, [replace(manner, pointing=pointing) for pointing in POINTINGS]) or manner
    return _learnt_reading(task, task.habits, manner)


def _learnt_reading(task: _Task, habits: FootHabits, manner: PlayingManner) -> _Found | None:
    """Read all of a take several times, each time with what was learnt of the player before."""
    found: _Found | None = None
    for _ in range(_ROUNDS):
        reading = task.read(habits, manner)
        if reading is None:
            break
        habits = task.habits.learnt((each.place, each.length) for each in reading.notes[:-1])
        task = replace(task, gracing=task.gracing.with_habits(habits_of([each.approached for each in reading.notes])))
        manner = _learnt(manner, task, reading)
        found = _Found(task, reading, habits, manner)
    return found


def _manner_of_school(task: _Task) -> PlayingManner | None:
    """The manner of the school that explains as much of a take best as is needed to tell it."""
    manners = [PlayingManner(FIRST_STRAYS_S, school) for school in SCHOOLS]
    stop = BEGINNING
    while True:
        costs = _manner_costs(task, manners, stop)
        near = [
            rank for rank in sorted(costs, key=costs.__getitem__) if costs[rank] - min(costs.values()) < SCHOOL_TELLS
        ]
        if len(near) < 2 or stop >= len(task.notes):
            return manners[near[0]] if near else None
        manners = [manners[rank] for rank in sorted(near)]
        stop *= 2


def _best_manner(task: _Task, manners: Sequence[PlayingManner]) -> PlayingManner | None:
    """The manner that explains the beginning of a take best."""
    costs = _manner_costs(task, manners, BEGINNING)
    return manners[min(costs, key=costs.__getitem__)] if costs else None


def _manner_costs(task: _Task, manners: Sequence[PlayingManner], stop: int) -> dict[int, float]:
    """The cost of the first notes of a take in each of these manners in which there is a reading, by rank."""
    return {
        rank: found.cost + 0.5 * (math.log(each.pointing / AS_WRITTEN) / POINTING_SPREAD) ** 2
        for rank, each in enumerate(manners)
        if (found := task.read(task.habits, each, stop))
    }


def _learnt(manner: PlayingManner, task: _Task, reading: PulseReading) -> PlayingManner:
    """The manner that shows in a reading: how far onsets stray, and how sharply its pairs are pointed."""
    kind = task.habits.kind
    off = [abs(each.off_s) * math.sqrt(task.notes[each.approached.at].plays) for each in reading.notes[1:]]
    strays_s = max(LEAST_STRAYS_S, 1.2 * statistics.median(off)) if off else manner.strays_s
    places = played_places(kind, manner.pointing)
    ratios = [
        pointing_of(kind, each.place, places[each.place] + each.off_s / each.foot_s * TICKS) for each in reading.notes
    ]
    told = [math.log(ratio / AS_WRITTEN) for ratio in ratios if ratio is not None]
    off_written = statistics.median(told) * len(told) / (len(told) + PAIRS_WORTH) if told else 0.0
    pointing = AS_WRITTEN * math.exp(off_written)
    return replace(manner, strays_s=strays_s, pointing=min(SHARPEST, max(BLUNTEST, pointing)))


def _oddly_divided_cost(reading: PulseReading, kind: FootKind) -> float:
    """The cost of many feet divided as feet of the other kind are."""
    feet = reading.notes[-1].foot - reading.notes[0].foot + 1
    odd = sum((each.place, each.length) == ODD_STEP[kind] for each in reading.notes)
    return ODDLY_DIVIDED * max(0.0, odd / feet - SELDOM_ODD[kind])


def _undivided_cost(reading: PulseReading) -> float:
    """What it costs that quick feet are hardly ever divided: then they are no feet, but thirds or halves of them."""
    rate = 60.0 / statistics.median(each.foot_s for each in reading.notes)
    divided = sum(1 for each in reading.notes if each.place) / len(reading.notes)
    return UNDIVIDED * max(0.0, 1.0 - divided / SELDOM_DIVIDED) if rate > QUICK_FEET else 0.0
