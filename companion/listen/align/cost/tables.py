"""A tune's tokens as arrays: what each reading of a heard note would cost at each place of the tune."""

from __future__ import annotations

import functools
from itertools import combinations

import numpy as np

from companion.listen.align.cost import costs
from companion.listen.align.cost.arrays import Bools, Floats, Ints
from companion.listen.align.cost.beginnings import bars_of, going_on, notes_again, second_notes
from companion.listen.model.asked import Asked, is_headed
from companion.schedule.events import EventKind
from fingering.chart import sounded
from fingering.holes import HoleState
from fingering.notes import Note

SHORTEST_S = 0.001
"""No asked note is taken to be shorter, so that each has a logarithm."""


@functools.cache
def passing_notes(before: HoleState, after: HoleState) -> frozenset[Note]:
    """The notes that can sound on the way between two hole states, the fingers that move moving in any order."""
    moving = before.moves_to(after)
    passed = set()
    for count in range(1, len(moving)):
        for done in combinations(moving, count):
            passed.add(sounded(HoleState(before ^ HoleState.of_closed(done))))
    return frozenset(passed - {sounded(before), sounded(after)})


class Tables:
    """Costs over places 0 to n: place 0 is before the first token, place j holds token j - 1.

    sounds[note, j]: whether token j is that note. mismatch[note, j]: that note heard in its place;
    long_grace[note, j]: what it adds that it is as long as a melody note. extra[note, j]: that note heard, short, after
    it. skip[k, j]: coming to j from j - 1 - k, k tokens left out between; parted[k, j] whether that leaves out the
    melody note of a gracenote at j - 1 - k, onto[k, j] whether j is the melody note of that. same[j]: the place before
    j with the same note that a held note can run on from, j itself where there is none; run_on[j] is what that leaves
    out. begin[j]: beginning anew at j; leap[d]: what doing so d places away adds; first[j]: beginning there where
    nothing tells where, opening[j]: beginning a take there. bar_of[j]: the place with which its bar begins;
    second_of[j] that of the second note of it, where the note at j sounds like the first, else 0. again_from[j]: the
    place of the melody note that can be begun again at j, with its embellishment; j itself where none can. goes_on[j]:
    whether what was heard up to j may be that as well. headed[j]: whether j is a melody note and its own last
    gracenote, which sounds like it. end[j]: a take that ends at j. written[j]: the rank of its melody note on the
    page. ended_before[j]: what it costs that a note that was held on to j, nothing but gracenotes left out, ended
    before that was due. slowed: how many times longer than at speed gracenotes were shown. start_s, length_s: as
    asked for. log_length[j]: doublings of a second; shortened_most[j]: the most that a note shorter than that costs.
    """

    def __init__(self, asked: Asked, leaves_out: float = 0.0) -> None:
        """leaves_out: the share of gracenotes that the player leaves out, as far as that is known."""
        tokens = asked.tokens
        self.size = len(tokens) + 1
        self.note = np.array([-1, *(token.note for token in tokens)])
        self.sounds = self.note[None, :] == np.arange(len(Note))[:, None]
        self.is_melody = np.array([False, *(token.is_melody for token in tokens)])
        first_s = tokens[0].start_s if tokens else 0.0
        self.start_s = np.array([first_s, *(token.start_s for token in tokens)])
        self.length_s = np.array([0.0, *(token.end_s - token.start_s for token in tokens)])
        self._unit = np.array([-1, *(asked.melody_of(rank) for rank in range(len(tokens)))])
        self.written = np.array([-1, *(asked.played(unit).note.rank for unit in self._unit[1:].tolist())])
        self._missing_share = costs.leaving_out(leaves_out)
        self.mismatch = self._mismatch()
        self.long_grace = ~self.is_melody * (
            costs.LONG_GRACENOTE + costs.WRONG_AND_LONG_GRACENOTE * (self.mismatch > 0.0)
        )
        self.log_length = np.log2(np.maximum(self.length_s, SHORTEST_S))
        self.shortened_most = np.where(self.is_melody, costs.SHORTENED_NOTE_MOST, 0.0)
        self.extra = _extra(asked)
        self.skip = self._skip()
        self.parted, self.onto = self._from_gracenotes()
        self.same, self.run_on = self._same()
        self.ended_before = self._ended_before()
        self.begin, self.first = self._beginnings(asked)
        begun_again = (self.written == self.written[1:2]) & (self._unit > 0)
        self.bar_of = bars_of(asked, self.size)
        self.second_of = second_notes(self.note, self.is_melody, self.bar_of)
        self.opening = self.first + costs.FIRST_IN_REPEAT * begun_again
        self.again_from = notes_again(self.note, self.is_melody, self._unit)
        self.goes_on = going_on(self.note, self.again_from)
        self.leap = _leap(self.size)
        self.slowed = max(1.0, asked.terms.gracenotes_slowed)
        self.end = self._end()
        self.headed = np.array([False, *(is_headed(token) for token in tokens)])
        self.far_starts = tuple(rank + 1 for rank in asked.far_starts)

    def _mismatch(self) -> Floats:
        wrong = np.where(self.is_melody, costs.WRONG_NOTE, costs.WRONG_GRACENOTE)
        table = np.where(self.sounds, 0.0, wrong[None, :])
        table[:, 0] = np.inf
        return table

    def _skip(self) -> Floats:
        table = np.full((costs.SKIP_TOKENS, self.size), np.inf)
        table[0, 1:] = 0.0
        total = np.zeros(self.size)
        lost_unit = np.full(self.size, -2)
        lost_graces = np.zeros(self.size, dtype=np.int64)
        for k in range(1, costs.SKIP_TOKENS):
            lost = np.maximum(np.arange(self.size) - k, 0)
            melody, unit = self.is_melody[lost], self._unit[lost]
            grace = np.where(lost_graces == 0, costs.MISSING_GRACENOTE, costs.MISSING_FURTHER_GRACENOTE)
            grace *= self._missing_share
            alone = ~melody & (unit != lost_unit)
            total = total + np.where(melody, costs.MISSING_NOTE, np.where(alone, grace, costs.MISSING_ALONG))
            lost_unit = np.where(melody, unit, lost_unit)
            lost_graces = np.where(melody, 0, lost_graces + alone)
            whole = (lost_graces == k) & (self._unit[np.maximum(lost - 1, 0)] != unit)
            total = np.where(whole, np.minimum(total, self._missing_share * costs.MISSING_EMBELLISHMENT), total)
            table[k, k + 1 :] = total[k + 1 :]
        return table

    def _from_gracenotes(self) -> tuple[Bools, Bools]:
        """Whether each skip leaves out the melody note of the gracenote that it comes from; whether it leads there."""
        shifts = np.arange(costs.SKIP_TOKENS)[:, None]
        places = np.arange(self.size)[None, :]
        before = np.maximum(places - 1 - shifts, 0)
        grace = ~self.is_melody[before] & (before > 0)
        same_unit = self._unit[before] == self._unit[places]
        parted: Bools = grace & ~same_unit
        onto: Bools = grace & same_unit & self.is_melody[places]
        return parted, onto

    def _same(self) -> tuple[Ints, Floats]:
        same, cost = np.arange(self.size), np.full(self.size, np.inf)
        for k in reversed(range(costs.SKIP_TOKENS)):
            held = np.arange(self.size) - 1 - k
            fits = (held >= 1) & (self.note[np.maximum(held, 0)] == self.note)
            same = np.where(fits, held, same)
            cost = np.where(fits, self.skip[k], cost)
        return same, cost

    def _ended_before(self) -> Floats:
        left_out = costs.MISSING_NOTE + costs.MISSING_ALONG - self._missing_share * costs.MISSING_GRACENOTE
        # With a melody note its time may have been left out as well.
        return np.where(self.is_melody & (self.run_on < costs.MISSING_NOTE), left_out, 0.0)

    def _end(self) -> Floats:
        cost = np.where(self.is_melody, 0.0, costs.MISSING_NOTE)
        melody = np.flatnonzero(self.is_melody)
        cost[0] = 0.0
        cost[melody[-2:-1]] = costs.ENDED_EARLY
        return cost

    def _beginnings(self, asked: Asked) -> tuple[Floats, Floats]:
        begin, first = np.full(self.size, np.inf), np.full(self.size, np.inf)
        fresh = np.append(True, self._unit[1:] != self._unit[:-1])
        places = np.flatnonzero((fresh | self.is_melody) & (self._unit >= 0))
        begin[places], first[places] = costs.BEGIN_AT_NOTE, costs.FIRST_AT_NOTE
        bars = np.array(asked.bar_starts, dtype=np.int64) + 1
        begin[bars], first[bars] = costs.BEGIN_AT_BAR, costs.FIRST_AT_BAR
        return begin, first


def _extra(asked: Asked) -> Floats:
    tokens = asked.tokens
    table = np.full((len(Note), len(tokens) + 1), costs.EXTRA_SHORT)
    for place in range(1, len(tokens)):
        for note in passing_notes(tokens[place - 1].closes, tokens[place].opens):
            table[note, place] = costs.CROSSING
        before = tokens[place - 1]
        if before.is_melody and asked.schedule.events[before.last].kind is EventKind.GRACENOTE:
            table[before.note, place] = costs.UNSWALLOWED
    return table


def _leap(size: int) -> Floats:
    """What the distance adds to beginning anew, by the offset in places; negative ones count from the end."""
    far = costs.LEAP_DOUBLING * np.log2(1.0 + np.arange(size) / costs.LEAP_TOKENS)
    return np.concatenate([far + costs.LEAP_FORWARD, far[:0:-1]])
