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

from companion.notate.pulse.approached import Approached
from companion.notate.pulse.feet import AS_WRITTEN, TICKS, FootHabits, played_places
from companion.notate.pulse.gracing import GraceReader
from companion.notate.pulse.readings import TEMPO_STEP, Floats, NextNote, Readings, best_of, gone_on
from companion.notate.pulse.sounds import SoundingNote

FIRST_STRAYS_S = 0.03
"""How far off the first note of a take may be, and half of its gracenotes besides: nothing before it measures it."""

# What it costs that a note has several gracenotes, one or none, where a foot begins and elsewhere: embellishments of
# several stand where feet begin. Common practice, no source.
_GRACED_ON, _GRACED_OFF = (0.5, 0.6, 1.4), (2.2, 1.1, 0.6)


@dataclass(frozen=True, slots=True)
class PlayingManner:
    """How a player plays: what every onset strays by in s, which share of each group of gracenotes comes before the
    beat, and how many times as long as its short note the long note of a pair is that is written 3:1."""

    strays_s: float
    before_beat: Callable[[Approached], float]
    pointing: float = AS_WRITTEN


@dataclass(frozen=True, slots=True)
class PulseNote:
    """A note of melody in a reading: how it was reached, at which tick of its foot, how many ticks it lasts, the foot
    that it begins in (from 0), the foot's length in s, how far off the pulse it was (s), when its beat was due and when
    it was played."""

    approached: Approached
    place: int
    length: int
    foot: int
    foot_s: float
    off_s: float
    due_s: float
    beat_s: float


@dataclass(frozen=True, slots=True)
class PulseReading:
    """A whole take as read: its notes of melody, and what the reading costs."""

    notes: tuple[PulseNote, ...]
    cost: float


def read_pulse(
    notes: Sequence[SoundingNote],
    gracing: GraceReader,
    habits: FootHabits,
    manner: PlayingManner,
    foot_costs: Callable[[Floats], Floats],
) -> PulseReading | None:
    """Return the likeliest reading of a take, None where there is none. foot_costs: of feet of these lengths in s."""
    return _PulseSearch(notes, gracing, habits, manner, foot_costs).best()


class _PulseSearch:
    def __init__(
        self,
        notes: Sequence[SoundingNote],
        gracing: GraceReader,
        habits: FootHabits,
        manner: PlayingManner,
        foot_costs: Callable[[Floats], Floats],
    ) -> None:
        self._notes, self._gracing, self._habits, self._manner = notes, gracing, habits, manner
        self._foot_costs = foot_costs
        self._lengths = np.array(sorted({length for _, length in habits.steps}), dtype=np.int64)
        self._step_costs = np.full((TICKS, len(self._lengths)), np.inf)
        for (place, length), cost in habits.steps.items():
            self._step_costs[place, np.searchsorted(self._lengths, length)] = cost
        played = np.array(played_places(habits.kind, manner.pointing))
        ends = np.arange(TICKS)[:, None] + self._lengths
        self._feet = (played[ends % TICKS] - played[:, None]) / TICKS + ends // TICKS
        self._ways: list[tuple[Approached, ...]] = []
        self._ends: list[Readings | None] = []

    def best(self) -> PulseReading | None:
        """Search to the end, and go back along the best reading."""
        for at in range(len(self._notes)):
            ways = self._gracing.onto(at)
            found = [self._reached(rank, way) for rank, way in enumerate(ways)]
            self._ways.append(ways)
            self._ends.append(best_of([each for each in found if each is not None]))
        return self._back() if self._ends and self._ends[-1] is not None else None

    def _reached(self, rank: int, way: Approached) -> Readings | None:
        beat_s = self._beat_s(way)
        if way.before is None:
            graces_s = self._notes[way.at].onset_s - self._begins_s(way)
            return self._begun(rank, way, beat_s, FIRST_STRAYS_S**2 + (0.5 * graces_s) ** 2)
        before = self._ends[way.before]
        if before is None:
            return None
        silence_s = sum(self._notes[each].silence_s for each in (*way.graces, way.at))
        following = NextNote(way.before, rank, beat_s, silence_s, self._manner.strays_s, self._notes[way.at].plays)
        costs = self._step_costs[before.place] + way.cost + self._grace_costs(before, way)
        return gone_on(before, following, self._lengths, self._feet[before.place], costs)

    def _begins_s(self, way: Approached) -> float:
        return self._notes[way.graces[0] if way.graces else way.at].onset_s

    def _beat_s(self, way: Approached) -> float:
        """When a note was played on its beat, as this player places gracenotes."""
        begins_s = self._begins_s(way)
        share = self._manner.before_beat(way) if way.graces else 0.0
        return begins_s + share * (self._notes[way.at].onset_s - begins_s)

    def _begun(self, rank: int, way: Approached, beat_s: float, variance: float) -> Readings:
        """A take that begins with this note, at each place and in each tempo."""
        low, high = self._habits.feet_a_minute
        steps = int(math.log(high / low) / TEMPO_STEP) + 1
        periods = 60.0 / (low * np.exp(TEMPO_STEP * np.arange(steps + 1)))
        starts = sorted(self._habits.starts)
        place = np.repeat(np.array(starts, dtype=np.int64), len(periods))
        period = np.tile(periods, len(starts))
        costs = np.repeat(np.array([self._habits.starts[each] for each in starts]), len(periods))
        count = len(place)
        zeros, nowhere = np.zeros(count), np.full(count, -1, dtype=np.int64)
        return Readings(
            place=place,
            foot=np.zeros(count, dtype=np.int64),
            due=np.full(count, beat_s),
            period=period,
            p00=np.full(count, variance),
            p01=zeros,
            p11=(TEMPO_STEP * period) ** 2,
            cost=way.cost + costs + self._foot_costs(period),
            off=zeros,
            node=nowhere,
            row=nowhere,
            way=np.full(count, rank, dtype=np.int64),
        )

    def _grace_costs(self, old: Readings, way: Approached) -> Floats:
        kind = 0 if len(way.graces) > 1 else 1 if way.graces else 2
        ends = (old.place[:, None] + self._lengths) % TICKS
        costs: Floats = np.where(ends == 0, _GRACED_ON[kind], _GRACED_OFF[kind])
        return costs

    def _back(self) -> PulseReading:
        """The best reading, from its last note to its first."""
        found: list[PulseNote] = []
        node, row, end = len(self._ends) - 1, -1, 0
        cost = 0.0
        while node >= 0:
            here = self._ends[node]
            assert here is not None
            if not found:
                row = int(np.argmin(here.cost))
                cost = float(here.cost[row])
            place, foot = int(here.place[row]), int(here.foot[row])
            begins = foot * TICKS + place
            length = end - begins if found else TICKS
            heard = self._ways[node][int(here.way[row])]
            off_s, due_s, foot_s = float(here.off[row]), float(here.due[row]), float(here.period[row])
            found.append(PulseNote(heard, place, length, foot, foot_s, off_s, due_s, self._beat_s(heard)))
            end = begins
            node, row = int(here.node[row]), int(here.row[row])
        return PulseReading(tuple(reversed(found)), cost)
