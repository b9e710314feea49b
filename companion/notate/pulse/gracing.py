"""Which of the short notes are gracenotes, and how likely each group of them is as an embellishment."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache

from companion.notate.pulse.sounds import SoundingNote
from fingering.chart import chart, sounded
from fingering.crossings.transition import Transition
from fingering.embellishments import Family, entries_onto, recognise, usual_spelling
from fingering.movement import gracenote_states
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

# Costs: negative logarithms of how likely an embellishment is. Choices, no source; checked by `tests.learners`.
NAMED, SINGLE, NEAR, UNNAMED, EACH_UNNAMED, UNSUITED = 0.3, 0.4, 4.0, 5.0, 1.5, 2.0
NOISE, NOISE_S, NOISE_SPREAD = 2.2, 0.030, 0.7
"""A crossing noise: how seldom it is, how long fingers are usually late (`fingering.crossings.noise`), its spread."""

ODD_SINGLE = 1.6
"""A single gracenote that crossing fingers sound as well, between two notes."""

FEWEST_SHARED = 2
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
    noises. cost: how unlikely that is by what the gracenotes are and how long, as a negative logarithm.
    """

    before: int | None
    at: int
    graces: tuple[int, ...]
    family: Family | None
    cost: float
    noises: tuple[int, ...] = ()


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
        family, named = group_cost(group, onto, first)
        yield Approached(before if before >= 0 else None, at, graces, family, cost + named)
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


@lru_cache(maxsize=8192)
def group_cost(group: tuple[Note, ...], onto: Note, before: Note | None) -> tuple[Family | None, float]:
    """Return the family of a group of gracenotes and how unlikely it is that a piper plays it there."""
    if not group:
        return None, 0.0
    found = recognise(group, onto=onto, before=before)
    if found.family is Family.UNNAMED:
        near = nearest_spelling(group, onto, before)
        if near is None:
            return found.family, UNNAMED + EACH_UNNAMED * len(group)
        return recognise(near, onto=onto, before=before).family, NEAR
    if len(group) == 1 and before is not None and is_crossing(before, group[0], (), onto):
        return found.family, SINGLE + ODD_SINGLE
    cost = SINGLE if found.family is Family.SINGLE else NAMED
    return found.family, cost + (0.0 if suits(group, onto, before) else UNSUITED)


@lru_cache(maxsize=4096)
def is_crossing(before: Note, passed: Note, group: tuple[Note, ...], onto: Note) -> bool:
    """Return whether fingers that do not move together sound a note on their way from one note of melody to the first
    gracenote of a group, or to the next note where there is none."""
    start = chart(before)
    end = gracenote_states(group, onto)[0] if group else chart(onto)
    if start == end or passed is before or passed is (group[0] if group else onto):
        return False
    return any(sounded(state) is passed for state in Transition(start, end).lattice())


def nearest_spelling(group: tuple[Note, ...], onto: Note, before: Note | None) -> tuple[Note, ...] | None:
    """Return the embellishment that is one slip away from a group, if they share two gracenotes at least."""
    usual = usual_spelling(group, onto=onto, before=before)
    if usual is None or usual[0] is before:
        return None
    shared = SequenceMatcher(None, group, usual, autojunk=False).get_matching_blocks()
    return usual if sum(block.size for block in shared) >= FEWEST_SHARED else None


def suits(group: tuple[Note, ...], onto: Note, before: Note | None) -> bool:
    """Return whether a group is an embellishment that can be played after the note before it."""
    return any(
        entry.embellishment.gracenotes in (group, (before, *group)) and entry.suits(None if before is None else before)
        for entry in entries_onto(onto)
    )
