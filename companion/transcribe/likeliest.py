"""Reads a take in every school of placing gracenotes and in feet of two and three, and learns from the best."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from companion.schedule.timing import Placement, Timing
from companion.transcribe.feet import FEET_OF_THREE, FEET_OF_TWO, FootHabits
from companion.transcribe.gracing import Approached, Gracing, median_gracenote_s
from companion.transcribe.pulse import Manner, PulseReading, read_pulse
from companion.transcribe.readings import Floats
from companion.transcribe.sounds import SoundingNote

FIRST_STRAYS_S = 0.022
LEAST_STRAYS_S = 0.008
_ROUNDS = 3
BEGINNING = 160
"""Sounding notes at the beginning by which a player's school is told."""

SLOW_FEET, FAST_SHARE = 45.0, 0.9
QUICK_FEET = 105.0
SELDOM_DIVIDED = 0.3
UNDIVIDED = 25.0
_PLACEMENTS = Timing().placements


@dataclass(frozen=True, slots=True)
class LikeliestReading:
    """The reading of a take, the habits that it was read with, and what else was tried: cost by kind of foot."""

    reading: PulseReading
    habits: FootHabits
    costs: tuple[tuple[FootHabits, float], ...]


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
        result: Floats = 2.0 * (np.maximum(0.0, slow) / 0.1) ** 2 + 2.0 * (np.maximum(0.0, fast) / 0.1) ** 2
        return result

    return costs


def likeliest_reading(
    notes: Sequence[SoundingNote],
    habits: Sequence[FootHabits] = (FEET_OF_TWO, FEET_OF_THREE),
    foot_costs: FootCosts = usual_foot_costs,
) -> LikeliestReading | None:
    """Return the likeliest reading of a take; None where nothing was played. habits: the feet that it may be in."""
    gracing = Gracing(notes, median_gracenote_s(notes))
    tried = [found for each in habits if (found := _read(_Task(notes, gracing, each, foot_costs(each)))) is not None]
    if not tried:
        return None
    best = min(tried, key=lambda each: each[0].cost + _undivided_cost(each[0]))
    costs = tuple((habit, reading.cost) for reading, habit in tried)
    return LikeliestReading(*best, costs)


@dataclass(frozen=True, slots=True)
class _Task:
    """What is to be read, by which habits."""

    notes: Sequence[SoundingNote]
    gracing: Gracing
    habits: FootHabits
    foot_costs: Callable[[Floats], Floats]

    def read(self, habits: FootHabits, manner: Manner, stop: int | None = None) -> PulseReading | None:
        return read_pulse(self.notes[:stop], self.gracing, habits, manner, self.foot_costs)


def _read(task: _Task) -> tuple[PulseReading, FootHabits] | None:
    """Read a take in feet of one kind: its beginning in every school, then all of it, learning the player's habits."""
    begun = [(task.read(task.habits, Manner(FIRST_STRAYS_S, school), BEGINNING), school) for school in SCHOOLS]
    read = [(found, school) for found, school in begun if found is not None]
    if not read:
        return None
    reading, school = min(read, key=lambda each: each[0].cost)
    habits, strays_s = task.habits, FIRST_STRAYS_S
    for _ in range(_ROUNDS):
        again = task.read(habits, Manner(strays_s, school))
        if again is None:
            break
        reading = again
        habits = task.habits.learnt((each.place, each.length) for each in reading.notes[:-1])
        off = [abs(each.off_s) for each in reading.notes[1:]]
        strays_s = max(LEAST_STRAYS_S, 1.2 * statistics.median(off)) if off else FIRST_STRAYS_S
    return reading, habits


def _undivided_cost(reading: PulseReading) -> float:
    """What it costs that quick feet are hardly ever divided: then they are no feet, but thirds or halves of them."""
    rate = 60.0 / statistics.median(each.foot_s for each in reading.notes)
    divided = sum(1 for each in reading.notes if each.place) / len(reading.notes)
    return UNDIVIDED * max(0.0, 1.0 - divided / SELDOM_DIVIDED) if rate > QUICK_FEET else 0.0
