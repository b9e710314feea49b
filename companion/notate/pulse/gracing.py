"""Which of the short notes are gracenotes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

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
NOISE, NOISE_S, NOISE_SPREAD = 2.2, 0.030, 0.7
"""A crossing noise: how seldom it is, how long fingers are usually late (`fingering.crossings.noise`), its spread."""

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
            (1.0 - _MELODY_SHARE) * _density(length, median_s, SPREAD)
            + _MELODY_SHARE * _density(length, _MELODY_S, _MELODY_SPREAD)
        )
        for length in lengths
    )


def _density(length: float, median: float, spread: float) -> float:
    off = math.log(max(length, _SHORTEST_S) / median) / spread
    return math.exp(-0.5 * off * off) / spread + _NEVER


@dataclass(frozen=True, slots=True)
class Approached:
    """A note of melody, `at`, reached from the one before, `before` (None: it is the first), over gracenotes.

    Both are ranks of sounding notes; the gracenotes are those between. noises: those among them that are crossing
    noises. cost: how unlikely that is by what the gracenotes are and how long, as a negative logarithm. spelt: the
    gracenotes as they are taken to be where what was heard is not sure, None for as they were told; otherwise: what
    else they may be, likeliest first.
    """

    before: int | None
    at: int
    graces: tuple[int, ...]
    family: Family | None
    cost: float
    noises: tuple[int, ...] = ()
    spelt: tuple[Note, ...] | None = None
    otherwise: tuple[tuple[Note, ...], ...] = ()


class GraceReader:
    """Reads the sounding notes of a take: how each may be a note of melody, and over which gracenotes it is reached."""

    def __init__(self, notes: Sequence[SoundingNote], median_s: float) -> None:
        self._notes = notes
        self._median_s = median_s
        self._ways: dict[int, tuple[Approached, ...]] = {}

    def may_be_grace(self, at: int) -> bool:
        """Whether a note is short enough to be a gracenote of this player's."""
        return self._notes[at].length_s <= LONGEST_TIMES * self._median_s and at + 1 < len(self._notes)

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
        taken, *others = (
            group_readings(self._notes[max(before, 0) : at + 1], self._median_s) if before >= 0 else [group]
        )
        family, named = group_cost(taken, onto, first)
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
        family, named = group_cost(group, onto.note, first.note)
        length = 0.5 * (math.log(passed.length_s / NOISE_S) / NOISE_SPREAD) ** 2
        cost += NOISE + named + length - self._cost_as_grace(noise)
        yield Approached(before, at, rest, family, cost, (noise,))

    def _cost_as_grace(self, at: int) -> float:
        off = math.log(self._notes[at].length_s / self._median_s)
        return 0.5 * (off / (SPREAD if off > 0.0 else SPREAD_OF_SHORT)) ** 2

    def _cost_as_melody(self, at: int) -> float:
        """A note of melody is hardly as short as a gracenote."""
        times = self._notes[at].length_s / (_MUST_BE_MELODY_TIMES * self._median_s)
        return 0.0 if times >= 1.0 else 0.5 * (math.log(times) / _SHORT_MELODY_SPREAD) ** 2 + 1.0
