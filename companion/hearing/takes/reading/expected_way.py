"""The likeliest way through a short stretch of sound by which asked notes are played: Viterbi's algorithm. Pure.

Who knows the tune hears more: as long as what was asked for is nearly as likely as anything else, it was played. So
asked notes cost nothing, and each that is left out, put in or begun again costs as much as it must be likelier by.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.hearing.heard import NAMES
from companion.hearing.spectra import Floats

LEFT_OUT_NATS = 25.0
PUT_IN_NATS = 25.0
INSTEAD_NATS = 1.0
AGAIN_NATS = 40.0
"""Prices: of an asked note that is left out; of one that is put in, or sounds instead of an asked one, which costs so
much more; and of a leap to any other asked note. By trial in rooms, where gracenotes that were lost in an echo mostly
cost 20 nats and less, those that were not played mostly 28 and more."""

SHORTEST_MOMENTS, SHORTEST_MELODY_MOMENTS = 8, 20
"""An asked gracenote sounds for 20 ms at least, the shortest without its ends, a melody note for 50: else one that was
not played is put where it is hardly heard, beside the one that was played for it, and that seems to be put in."""

STAYING_NATS = 0.15
"""The price of each moment by which an asked gracenote is longer than that: of 40 ms more 2.4 nats, of half a second
30. Else of two gracenotes of one name, of which the sound tells one alone, either may be put half a second off."""

LONGEST_SKIP = 2
_NEVER = np.float32(1e9)
_ASKED, _STAYED, _CAME = NAMES, -1, -2
_CODES = NAMES + 1


@dataclass(frozen=True, slots=True)
class WayStep:
    """One name, by its rank, from moment `first` up to but not with `stop`. asked: the rank of the asked note that it
    is, None for what was put in."""

    name: int
    first: int
    stop: int
    asked: int | None


class _Way:
    """The cheapest ways to each asked note so far, and to each name put in within it.

    An asked note is a row of SHORTEST_MELODY_MOMENTS states that are gone through once, of which the last may stay; one
    that may be shorter begins further on in it.
    """

    def __init__(self, names: Sequence[int], gracenotes: Sequence[bool], shortest: Sequence[int], moments: int) -> None:
        count = len(names)
        self.names = tuple(names)
        self._staying = np.float32(STAYING_NATS) * np.asarray(gracenotes, np.float32)
        self._ranks = np.arange(count)
        self._first = SHORTEST_MELODY_MOMENTS - np.asarray(shortest)
        self._asked = np.full((count, SHORTEST_MELODY_MOMENTS), _NEVER, np.float32)
        self._asked[0, -1] = 0.0
        self._put_in = np.full((count, NAMES), _NEVER, np.float32)
        self.began = np.zeros((moments, count), np.int32)  # out of which note and state each began,
        self.sounded_on = np.zeros((moments, count), np.int8)  # how its last state was come to,
        self.was_put_in = np.zeros((moments, count, NAMES), np.int8)  # and likewise each that was put in

    def go_on(self, at: int, asked_costs: Floats, costs: Floats, changing: np.float32) -> None:
        """The next moment. asked_costs: of each asked note; costs: of each name; changing: of beginning any."""
        last = self._asked[:, -1].copy()
        other = self._put_in.argmin(axis=1)
        other_score = self._put_in[self._ranks, other]
        from_asked = last <= other_score
        left = np.where(from_asked, last, other_score)
        kind = np.where(from_asked, _ASKED, other)
        entered = left[:, np.newaxis] + (np.float32(PUT_IN_NATS) + changing)
        self.was_put_in[at] = np.where(entered < self._put_in, kind[:, np.newaxis], _STAYED)
        self._put_in = np.minimum(self._put_in, entered) + costs
        came = self._asked[:, -2].copy()
        self._asked[:, 1:-1] = self._asked[:, :-2]
        begun, self.began[at] = self._begun(last, other_score, other, left, kind)
        self._asked[:, 0] = _NEVER
        self._asked[self._ranks, self._first] = begun + changing
        back = other_score + changing
        stays, goes_on = last + self._staying, np.minimum(came, back)
        self.sounded_on[at] = np.where(stays <= goes_on, _STAYED, np.where(came <= back, _CAME, other))
        self._asked[:, -1] = np.minimum(stays, goes_on)
        self._asked += asked_costs[:, np.newaxis]

    def _begun(
        self,
        last: Floats,
        other_score: Floats,
        other: NDArray[np.intp],
        left: Floats,
        kind: NDArray[np.intp],
    ) -> tuple[Floats, NDArray[np.intp]]:
        """The cost of beginning each asked note now, and out of which note and state."""
        leapt = int(left.argmin())
        score = np.full(len(last), left[leapt] + np.float32(AGAIN_NATS), np.float32)
        out_of = np.full(len(last), leapt * _CODES + kind[leapt])
        for step in range(1, min(LONGEST_SKIP + 1, len(last) - 1) + 1):
            skipped = LEFT_OUT_NATS * (step - 1)
            instead = 0.0 if step == 1 else INSTEAD_NATS + LEFT_OUT_NATS * (step - 2)
            asked, put_in = last[:-step] + np.float32(skipped), other_score[:-step] + np.float32(instead)
            cheaper = np.minimum(asked, put_in)
            better = cheaper < score[step:]
            came = self._ranks[:-step] * _CODES + np.where(asked <= put_in, _ASKED, other[:-step])
            out_of[step:] = np.where(better, came, out_of[step:])
            score[step:] = np.where(better, cheaper, score[step:])
        return score, out_of

    def back(self, moments: int) -> list[WayStep]:
        """The steps of the cheapest way that ends in the last asked note."""
        steps: list[WayStep] = []
        note, chain, put_in, stop = len(self.names) - 1, SHORTEST_MELODY_MOMENTS - 1, _ASKED, moments
        for at in range(moments - 1, -1, -1):
            before = note, put_in
            if put_in != _ASKED:
                code = int(self.was_put_in[at, note, put_in])
                if code != _STAYED:
                    put_in, chain = code, SHORTEST_MELODY_MOMENTS - 1
                    steps.append(WayStep(before[1], at, stop, None))
                    stop = at
                continue
            if chain == self._first[note]:
                note, put_in = divmod(int(self.began[at, note]), _CODES)
            elif chain < SHORTEST_MELODY_MOMENTS - 1:
                chain -= 1
                continue
            else:
                code = int(self.sounded_on[at, note])
                if code == _STAYED:
                    continue
                if code == _CAME:
                    chain -= 1
                    continue
                put_in = code
            chain = SHORTEST_MELODY_MOMENTS - 1
            steps.append(WayStep(self.names[before[0]], at, stop, before[0]))
            stop = at
        asked = put_in == _ASKED
        steps.append(WayStep(self.names[note] if asked else put_in, 0, stop, note if asked else None))
        return steps[::-1]


def expected_way(
    costs: Floats,
    names: Sequence[int],
    gracenotes: Sequence[bool],
    changing: Floats | None = None,
    shortest: Sequence[int] = (),
) -> list[WayStep]:
    """The likeliest way through moments that begin within the first of the asked notes and end within the last.

    costs: of each moment and name, shape (moments, NAMES). names: the asked notes in order, by rank, no two in a row
    alike. gracenotes: which of them are gracenotes. changing: what beginning any of them costs at each moment besides.
    shortest: of how many moments each must be at least, none for what is usual.
    """
    usual = [SHORTEST_MOMENTS if each else SHORTEST_MELODY_MOMENTS for each in gracenotes]
    way = _Way(names, gracenotes, shortest or usual, len(costs))
    asked_costs = costs[:, list(names)]
    for at in range(len(costs)):
        way.go_on(at, asked_costs[at], costs[at], changing[at] if changing is not None else np.float32(0.0))
    return way.back(len(costs))


def without_short(steps: Sequence[WayStep], costs: Floats, least: int, kept: Set[int] = frozenset()) -> list[WayStep]:
    """The steps where what was put in, or sounded on after that, for less than `least` moments is the cheaper one of
    its neighbours. kept: moments in whose middle what was put in stays."""
    out: list[WayStep] = []
    left = list(steps)
    for rank, each in enumerate(left):
        own = each.asked is not None and not (len(out) > 1 and out[-2].asked == each.asked)
        own = own or (each.asked is None and (each.first + each.stop) // 2 in kept)
        if own or each.stop - each.first >= least or not out or rank + 1 == len(left):
            out.append(each)
            continue
        before, after = out[-1], left[rank + 1]
        seen = costs[each.first : each.stop]
        if seen[:, before.name].sum() <= seen[:, after.name].sum():
            out[-1] = WayStep(before.name, before.first, each.stop, before.asked)
        else:
            left[rank + 1] = WayStep(after.name, each.first, after.stop, after.asked)
    return out
