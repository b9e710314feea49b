"""Which of the short notes are gracenotes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from companion.notate.pulse.approached import Approached
from companion.notate.pulse.grace_habits import USUAL_GRACING, GraceHabits
from companion.notate.pulse.group_costs import group_cost, is_crossing
from companion.notate.pulse.group_readings import group_readings
from companion.notate.pulse.sounds import SoundingNote
from fingering.embellishments import Family
from fingering.notes import Note

SHORTEST_MEDIAN_S, LONGEST_MEDIAN_S = 0.022, 0.125
"""Between which lengths a player's median gracenote lies: common practice, no source."""

USUAL_MEDIAN_S = 0.045
SPREAD = 0.30
"""How far one player's gracenotes stray from their median, as a standard deviation of the logarithm of length."""

SPREAD_OF_SHORT = 0.5
"""How far gracenotes shorter than the median stray, likewise: where there is no room, all of a group are short."""

LONGEST_TIMES = 2.6
"""A note of more median gracenotes than this is none: nearly three spreads and the shifts of a held one."""

MOST_GRACENOTES = 10
_MELODY_S, _MELODY_SPREAD = 0.35, 0.75
_MELODY_SHARE = 0.55
_PRIOR_SPREAD = 0.45
_STEPS = 60

# As negative logarithms. Choices, no source; checked by `tests.learners`.
NOISE_S, NOISE_SPREAD = 0.030, 0.7
"""How long fingers that cross are usually late (`fingering.crossings.noise`), and the spread of it."""

_SHORTEST_S, _NEVER = 1e-4, 1e-9
_MUST_BE_MELODY_TIMES = 1.6
_SHORT_MELODY_SPREAD = 0.35


def median_gracenote_s(notes: Sequence[SoundingNote]) -> float:
    """Return the length that this player's gracenotes have: the likeliest of a mixture of gracenotes and melody."""
    lengths = [note.length_s for note in notes]
    ratio = LONGEST_MEDIAN_S / SHORTEST_MEDIAN_S
    tried = [SHORTEST_MEDIAN_S * math.pow(ratio, step / _STEPS) for step in range(_STEPS + 1)]
    return max(tried, key=lambda median_s: _likelihood(lengths, median_s))


def _likelihood(lengths: Sequence[float], median_s: float) -> float:
    prior = -0.5 * (math.log(median_s / USUAL_MEDIAN_S) / _PRIOR_SPREAD) ** 2
    return prior + math.fsum(
        math.log(
            (1.0 - _MELODY_SHARE) * _density_of_graces(length, median_s)
            + _MELODY_SHARE * _density(length, _MELODY_S, _MELODY_SPREAD)
        )
        for length in lengths
    )


def _density_of_graces(length: float, median: float) -> float:
    """Wider below the median than above, with one peak: those that have no room are shorter."""
    off = math.log(max(length, _SHORTEST_S) / median) / (SPREAD if length > median else SPREAD_OF_SHORT)
    return math.exp(-0.5 * off * off) / (0.5 * (SPREAD + SPREAD_OF_SHORT)) + _NEVER


def _density(length: float, median: float, spread: float) -> float:
    off = math.log(max(length, _SHORTEST_S) / median) / spread
    return math.exp(-0.5 * off * off) / spread + _NEVER


def cost_as_grace(length_s: float, median_s: float) -> float:
    """Return how unlikely a gracenote of this length is for a player whose median gracenote is known."""
    off = math.log(length_s / median_s)
    return 0.5 * (off / (SPREAD if off > 0.0 else SPREAD_OF_SHORT)) ** 2


class GraceReader:
    """Reads the sounding notes of a take: how each may be a note of melody, and over which gracenotes it is reached."""

    def __init__(self, notes: Sequence[SoundingNote], median_s: float, habits: GraceHabits = USUAL_GRACING) -> None:
        self._notes = notes
        self.median_s = median_s
        self.habits = habits
        self._ways: dict[int, tuple[Approached, ...]] = {}

    def with_habits(self, habits: GraceHabits) -> GraceReader:
        """Return the reader of the same notes for a player of these habits."""
        return GraceReader(self._notes, self.median_s, habits)

    def may_be_grace(self, at: int) -> bool:
        """Whether a note is short enough to be a gracenote of this player's."""
        note = self._notes[at]
        return not note.is_melody and note.length_s <= LONGEST_TIMES * self.median_s and at + 1 < len(self._notes)

    def onto(self, at: int) -> tuple[Approached, ...]:
        """Return the ways to a note as one of melody; they are kept, since a take is read several times."""
        if at not in self._ways:
            self._ways[at] = tuple(self._onto(at))
        return self._ways[at]

    def _onto(self, at: int) -> Iterator[Approached]:
        melody = self._cost_as_melody(at)
        lengths = 0.0
        for before in range(at - 1, max(-2, at - MOST_GRACENOTES - 2), -1):
            yield from self._over(before, at, melody + lengths)
            if before < 0 or not self.may_be_grace(before) or self._notes[before + 1].silence_s:
                return
            lengths += self._cost_as_grace(before)

    def _over(self, before: int, at: int, cost: float) -> Iterator[Approached]:
        graces = tuple(range(before + 1, at))
        first = self._notes[before].note if before >= 0 else None
        group = tuple(self._notes[each].note for each in graces)
        onto = self._notes[at].note
        taken, *others = group_readings(self._notes[max(before, 0) : at + 1], self.median_s) if before >= 0 else [group]
        family, named = self._named(taken, onto, first)
        spelt = taken if taken != group else None
        yield Approached(
            before if before >= 0 else None, at, graces, family, cost + named, spelt=spelt, otherwise=tuple(others)
        )
        if graces and first is not None:
            yield from self._over_noise(before, at, graces, cost)

    def _over_noise(self, before: int, at: int, graces: tuple[int, ...], cost: float) -> Iterator[Approached]:
        """Yield the way on which the first of the short notes is what the fingers sounded on their way to the next."""
        noise, rest = graces[0], graces[1:]
        group = tuple(self._notes[each].note for each in rest)
        first, passed, onto = (self._notes[each] for each in (before, noise, at))
        if not is_crossing(first.note, passed.note, group, onto.note):
            return
        family, named = self._named(group, onto.note, first.note)
        off = math.log(passed.length_s / NOISE_S)
        # By its density in time, which is the less the longer it is: a noise of 90 ms is hardly ever one.
        length = 0.5 * (off / NOISE_SPREAD) ** 2 + max(0.0, off)
        cost += self.habits.noise + named + length - self._cost_as_grace(noise)
        yield Approached(before, at, rest, family, cost, (noise,))

    def _named(self, group: tuple[Note, ...], onto: Note, before: Note | None) -> tuple[Family | None, float]:
        family, cost = group_cost(group, onto, before)
        return family, cost + (self.habits.of_family(family) if len(group) > 1 else 0.0)

    def _cost_as_grace(self, at: int) -> float:
        return cost_as_grace(self._notes[at].length_s, self.median_s)

    def _cost_as_melody(self, at: int) -> float:
        """A note of melody is hardly as short as a gracenote."""
        if self._notes[at].is_melody:
            return 0.0
        times = self._notes[at].length_s / (_MUST_BE_MELODY_TIMES * self.median_s)
        return 0.0 if times >= 1.0 else 0.5 * (math.log(times) / _SHORT_MELODY_SPREAD) ** 2 + 1.0
