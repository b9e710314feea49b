"""Finds the pulse of a take, and with it which notes are melody and how long each was meant to be.

Readings are followed from note to note, a hundred at a time: each says where in its foot a note of melody is, and
knows the foot's length and phase by a Kalman filter, so that a tempo may drift. A reading costs what is unlikely in
it: how far each onset is off, how odd its length and its gracenotes are. The cheapest is kept.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.transcribe.feet import TICKS, FootHabits
from companion.transcribe.gracing import Approached, Gracing
from companion.transcribe.sounds import SoundingNote

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_READINGS = 110
WORSE_BY = 22.0
"""A reading that costs so much more than the best is given up."""

TEMPO_STEP = 0.05
"""Tempos that are tried at first differ by this share; readings of one place whose tempos are closer are one."""

TEMPO_WANDERS = 0.014
"""By which share a tempo wanders in a second, standard deviation: 15 % within half a minute."""

PHASE_WANDERS = 0.008
"""By which share of a note's length the pulse itself comes early or late."""

STRAYS = 0.022
"""By which share of the note before it an onset strays: tapping, Repp 2005, from memory."""

STOPS_S = 0.25
"""A silence from which on the pulse need not go on."""

_MOST_AMISS = 14.0
_NEVER = 1e6


@dataclass(frozen=True, slots=True)
class Manner:
    """How a player plays: what every onset strays by in s, and which share of each group of gracenotes comes before
    the beat."""

    strays_s: float
    before_beat: Callable[[Approached], float]


@dataclass(frozen=True, slots=True)
class MelodyHeard:
    """A note of melody in a reading: how it was reached, at which tick of its foot, how many ticks it lasts, the foot
    that it begins in (from 0), the foot's length in s, how far off the pulse it was (s) and when its beat was due."""

    approached: Approached
    place: int
    length: int
    foot: int
    foot_s: float
    off_s: float
    due_s: float


@dataclass(frozen=True, slots=True)
class PulseReading:
    """A whole take as read: its notes of melody, and what the reading costs."""

    notes: tuple[MelodyHeard, ...]
    cost: float


@dataclass(slots=True)
class _Readings:
    """Readings that end at one note of melody; one row each."""

    place: Ints
    foot: Ints
    due: Floats
    period: Floats
    p00: Floats
    p01: Floats
    p11: Floats
    cost: Floats
    off: Floats
    node: Ints
    row: Ints
    way: list[Approached]
    way_of: Ints

    def only(self, rows: Ints) -> _Readings:
        """Return these rows alone."""
        names = ("place", "foot", "due", "period", "p00", "p01", "p11", "cost", "off", "node", "row")
        return _Readings(*(getattr(self, name)[rows] for name in names), self.way, self.way_of[rows])


def read_pulse(
    notes: Sequence[SoundingNote], gracing: Gracing, habits: FootHabits, manner: Manner, foot_costs: Callable[[Floats], Floats]
) -> PulseReading | None:
    """Return the likeliest reading of a take, None where there is none. foot_costs: of feet of these lengths in s."""
    return _PulseSearch(notes, gracing, habits, manner, foot_costs).best()


class _PulseSearch:
    def __init__(
        self,
        notes: Sequence[SoundingNote],
        gracing: Gracing,
        habits: FootHabits,
        manner: Manner,
        foot_costs: Callable[[Floats], Floats],
    ) -> None:
        self._notes, self._gracing, self._habits, self._manner = notes, gracing, habits, manner
        self._foot_costs = foot_costs
        self._lengths = np.array(sorted({length for _, length in habits.steps}), dtype=np.int64)
        self._step_costs = np.full((TICKS, len(self._lengths)), _NEVER)
        for (place, length), cost in habits.steps.items():
            self._step_costs[place, np.searchsorted(self._lengths, length)] = cost
        self._ends: list[_Readings | None] = [None] * len(notes)

    def best(self) -> PulseReading | None:
        """Search to the end, and go back along the best reading."""
        for at in range(len(self._notes)):
            found = [self._reached(way) for way in self._gracing.onto(at)]
            self._ends[at] = _pruned([each for each in found if each is not None])
        last = len(self._notes) - 1
        if last < 0 or self._ends[last] is None:
            return None
        return self._back(last)

    def _reached(self, way: Approached) -> _Readings | None:
        share = self._manner.before_beat(way) if way.graces else 0.0
        melody_s = self._notes[way.at].onset_s
        begins_s = self._notes[way.graces[0]].onset_s if way.graces else melody_s
        beat_s = begins_s + share * (melody_s - begins_s)
        if way.before is None:
            return self._begun(way, beat_s, melody_s - begins_s)
        before = self._ends[way.before]
        return None if before is None else self._stepped(before, way, beat_s)

    def _begun(self, way: Approached, beat_s: float, graces_s: float) -> _Readings:
        low, high = self._habits.feet_a_minute
        steps = int(math.log(high / low) / TEMPO_STEP) + 1
        periods = 60.0 / (low * np.exp(TEMPO_STEP * np.arange(steps + 1)))
        places = np.array(sorted(self._habits.starts), dtype=np.int64)
        place, period = (each.ravel() for each in np.meshgrid(places, periods, indexing="ij"))
        costs = np.array([self._habits.starts[each] for each in places])
        cost = way.cost + np.repeat(costs, len(periods)) + self._foot_costs(period)
        count = len(place)
        zeros, ints = np.zeros(count), np.zeros(count, dtype=np.int64)
        return _Readings(
            place.astype(np.int64), ints, np.full(count, beat_s), period, np.full(count, 0.03**2 + (0.5 * graces_s) ** 2), zeros,
            (TEMPO_STEP * period) ** 2, cost, zeros, ints - 1, ints - 1, [way], ints,
        )  # fmt: skip

    def _stepped(self, old: _Readings, way: Approached, beat_s: float) -> _Readings | None:
        silence_s = sum(self._notes[each].silence_s for each in (*way.graces, way.at))
        feet = self._lengths / TICKS
        steps = self._step_costs[old.place]
        period = old.period[:, None]
        took = feet * period
        wander = (TEMPO_WANDERS * period) ** 2 * took
        p00 = old.p00[:, None] + 2 * feet * old.p01[:, None] + feet**2 * old.p11[:, None]
        p00 = p00 + feet**2 * wander / 3 + (PHASE_WANDERS * took) ** 2
        if silence_s > STOPS_S:
            p00 = p00 + silence_s**2
        p01 = old.p01[:, None] + feet * old.p11[:, None] + feet * wander / 2
        p11 = old.p11[:, None] + wander
        noise = self._manner.strays_s**2 + (STRAYS * took) ** 2
        spread = p00 + noise
        off = beat_s - (old.due[:, None] + took)
        amiss = np.minimum(0.5 * off**2 / spread, _MOST_AMISS) + 0.5 * np.log(spread / 0.02**2)
        cost = old.cost[:, None] + steps + amiss + way.cost + self._grace_cost(old, way)
        rows, columns = np.nonzero(cost < cost.min() + WORSE_BY)
        if cost.min() >= _NEVER:
            return None
        gain0, gain1 = (p00 / spread)[rows, columns], (p01 / spread)[rows, columns]
        seen = off[rows, columns]
        ends = old.place[rows] + self._lengths[columns]
        ways = np.zeros(len(rows), dtype=np.int64)
        return _Readings(
            ends % TICKS,
            old.foot[rows] + ends // TICKS,
            old.due[rows] + took[rows, columns] + gain0 * seen,
            np.maximum(0.05, old.period[rows] + gain1 * seen),
            p00[rows, columns] * (1 - gain0),
            p01[rows, columns] * (1 - gain0),
            p11[rows, columns] - gain1 * p01[rows, columns],
            cost[rows, columns],
            seen,
            np.full(len(rows), way.before, dtype=np.int64),
            rows,
            [way],
            ways,
        )

    def _grace_cost(self, old: _Readings, way: Approached) -> Floats:
        """Embellishments of several gracenotes stand where feet begin; (readings, lengths)."""
        ends = (old.place[:, None] + self._lengths) % TICKS
        several, one = len(way.graces) > 1, len(way.graces) == 1
        on = 0.5 if several else 0.6 if one else 1.4
        off = 2.2 if several else 1.1 if one else 0.6
        costs: Floats = np.where(ends == 0, on, off)
        return costs

    def _back(self, last: int) -> PulseReading:
        ends = self._ends[last]
        assert ends is not None
        row = int(np.argmin(ends.cost))
        total = float(ends.cost[row])
        found: list[MelodyHeard] = []
        node, after = last, None
        while node >= 0:
            here = self._ends[node]
            assert here is not None
            place, foot = int(here.place[row]), int(here.foot[row])
            length = TICKS if after is None else after[1] * TICKS + after[0] - foot * TICKS - place
            way = here.way[int(here.way_of[row])]
            found.append(MelodyHeard(way, place, length, foot, float(here.period[row]), float(here.off[row]), float(here.due[row])))
            after = place, foot
            node, row = int(here.node[row]), int(here.row[row])
        return PulseReading(tuple(reversed(found)), total)


def _pruned(found: Sequence[_Readings]) -> _Readings | None:
    """Return the best readings of all that reach a note; of those alike in place and tempo the best."""
    if not found:
        return None
    ways = [each.way[0] for each in found]
    names = ("place", "foot", "due", "period", "p00", "p01", "p11", "cost", "off", "node", "row")
    joined = {name: np.concatenate([getattr(each, name) for each in found]) for name in names}
    way_of = np.concatenate([np.full(len(each.cost), rank, dtype=np.int64) for rank, each in enumerate(found)])
    every = _Readings(*(joined[name] for name in names), ways, way_of)
    order = np.argsort(every.cost, kind="stable")
    order = order[every.cost[order] < every.cost[order[0]] + WORSE_BY]
    keys = every.place[order] * 1000 + np.round(np.log(every.period[order]) / TEMPO_STEP).astype(np.int64)
    _, firsts = np.unique(keys, return_index=True)
    return every.only(order[np.sort(firsts)][:MOST_READINGS])
