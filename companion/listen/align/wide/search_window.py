"""The part of a tune that the alignment has in view: what each way of reading one heard note costs at its places."""

from __future__ import annotations

import copy

import numpy as np

from companion.listen.align.cost import costs
from companion.listen.align.cost.arrays import Bools, Floats, Ints
from companion.listen.align.cost.hearing import (
    extra_share,
    held_cost,
    is_gracenote_short,
    long_share,
    off_time_per_s,
    shortening,
    stretch,
)
from companion.listen.align.cost.tables import Tables
from companion.listen.model.segments import SETTLED_S, Segment
from fingering.notes import Note


class SearchWindow:
    """The costs at some places of the tables; it does not change once it is made.

    places: (width,), in order. centre: the place that the window was laid about. ratio: played seconds for each asked
    second; None while it is not known, and then time tells nothing. Costs are arrays (width,), or (notes, width), and
    so are clocks: when the last melody note was matched at each place, in s.
    """

    def __init__(self, tables: Tables, places: Ints, centre: int, ratio: float | None) -> None:
        self._tables = tables
        self.places, self.centre, self.width = places, centre, len(places)
        self.ranks = np.arange(self.width)
        self.one_before = self.ranks - 1
        self.states = np.arange(2 * self.width)
        self._nothing_ran_on = np.full(self.width, -1)
        self.sounds = tables.sounds[:, places]
        self._extra = tables.extra[:, places]
        self.not_crossing = costs.EXTRA_SHORT - self._extra
        """What each extra note costs more where the note before goes on: then no fingers were crossing."""
        self._mismatch = tables.mismatch[:, places]
        self.headed, self._grace = tables.headed[places], (~tables.is_melody[places]).astype(float)
        self._length_s, self._ended_before = tables.length_s[places], tables.ended_before[places]
        self._long_grace = tables.long_grace[:, places]
        self._mismatch_long = self._mismatch + self._long_grace
        self._shortened_most, self._log_length = tables.shortened_most[places], tables.log_length[places]
        one_before = np.maximum(places - 1, 0)
        self._begin, self._written = tables.begin[places], tables.written[places]
        self._begin_before, self._note_before = tables.begin[one_before], tables.note[one_before]
        self._lay_again()
        self._lay_runs()
        self._lay_skips()
        self._set_ratio(ratio)

    def _lay_again(self) -> None:
        """Where a note can be begun again: the ranks of its beginning, and of itself."""
        (begins,) = (self._tables.again_from[self.places] != self.places).nonzero()
        melody = self._tables.again_from[self.places[begins]]
        ranks = np.minimum(np.searchsorted(self.places, melody), self.width - 1)
        seen = self.places[ranks] == melody
        self.begun_again, self.again_from = begins[seen], ranks[seen]

    def _lay_runs(self) -> None:
        """Where a held note can run on from."""
        tables, places = self._tables, self.places
        held = tables.same[places]
        self._same = np.minimum(np.searchsorted(places, held), self.width - 1)
        self._run_on = np.where(places[self._same] == held, tables.run_on[places], np.inf)
        self._run_on_s = tables.start_s[places] - tables.start_s[places[self._same]]

    def _lay_skips(self) -> None:
        """Where each place can be come to from, skipping so many: axis 0 is how many, axis 1 the place come to."""
        tables, places = self._tables, self.places
        shifts = np.arange(costs.SKIP_TOKENS)[:, None]
        come_from = self.ranks[None, :] - 1 - shifts
        before = places[np.maximum(come_from, 0)]
        adjacent = (come_from >= 0) & (before == places[None, :] - 1 - shifts)
        self._skip = np.where(adjacent, tables.skip[:, places], np.inf)
        self._parted, self._onto = tables.parted[:, places].astype(float), tables.onto[:, places].astype(float)
        self._asked_s = np.where(adjacent, tables.start_s[places] - tables.start_s[before], 0.0)
        self._leave, self._from = _each_come_from(self.width, np.inf)
        self._leave_clock, self._from_clock = _each_come_from(self.width, 0.0)
        self._held, self._from_held = _each_come_from(self.width, 0.0)
        self._work, self._slack = np.empty_like(self._skip), np.empty_like(self._skip)

    def with_ratio(self, ratio: float | None) -> SearchWindow:
        """Return the window at another tempo."""
        other = copy.copy(self)
        other._set_ratio(ratio)
        return other

    def _set_ratio(self, ratio: float | None) -> None:
        self.ratio = ratio
        self._shortened = costs.SHORTENED_NOTE * (self._log_length + stretch(ratio))
        if ratio is not None:
            self._expected_s = self._asked_s * ratio
            self._per_s = off_time_per_s(self._expected_s)

    def values_of(self, other: SearchWindow, values: Floats, unknown: float | None = None) -> Floats:
        """Return values (..., width) of another window at these places; `unknown`, if given, where it did not look."""
        at = self._ranks_in(other)
        moved: Floats = values[..., at]
        if unknown is not None:
            moved = np.where(other.places[at] == self.places, moved, unknown)
        return moved

    def places_ran_on(self, other: SearchWindow, ran_on_from: Ints) -> Ints:
        """Return for each place here whether a held note ran on to it in another window (its state there), else -1."""
        at = self._ranks_in(other)
        ran_on: Ints = np.where(other.places[at] == self.places, ran_on_from[at], -1)
        return ran_on

    def states_of(self, other: SearchWindow) -> Ints:
        """Return for each of the states (2 * width,) here its state in another window, or the one nearest to it."""
        at = self._ranks_in(other)
        return np.concatenate([at, at + other.width])

    def _ranks_in(self, other: SearchWindow) -> Ints:
        return np.minimum(np.searchsorted(other.places, self.places), other.width - 1)

    def heard_as(self, segment: Segment) -> Floats:
        """Return what it costs to hear a note as each place's own, by its pitch and its length."""
        lasted_s = segment.lasted_s()
        if lasted_s >= SETTLED_S:
            settled: Floats = self._mismatch_long[segment.note]
            return settled
        shortened = np.maximum(self._shortened - shortening(lasted_s), 0.0)
        cost: Floats = self._mismatch[segment.note] + np.minimum(shortened, self._shortened_most)
        share = long_share(lasted_s)
        return cost + share * self._long_grace[segment.note] if share else cost

    def held(self, segment: Segment) -> float:
        """Return what it costs more to leave out a melody note after its gracenote, now that this one is over."""
        return held_cost(segment, self._tables.slowed)

    def ended_on(self, segment: Segment) -> Floats:
        """Return what it costs for a take to end at each place, with that note."""
        cost: Floats = self._tables.end[self.places] + self.held(segment) * self._grace
        return cost

    def heard_as_extra(self, segment: Segment, before: Segment | None, in_place: Bools) -> Floats:
        """Return what it costs to hear a note as an extra one, after each place.

        before: the note before; in_place: where that was a place's own.
        """
        short: Floats = self._extra[segment.note]
        share = extra_share(segment.lasted_s())
        if not share:
            return short
        if before is None or not is_gracenote_short(before):
            return short + share * (costs.EXTRA_LONG - short)
        alone = in_place & self.headed & self.sounds[before.note]
        longest: Floats = np.where(alone, costs.WRONG_AFTER_ITS_GRACENOTE, costs.EXTRA_LONG)
        return short + share * (longest - short)

    def ended_before(self, end_s: float, clock: Floats) -> Floats:
        """Return what it costs at each place that a note held on to there ended then, too soon for what was due at
        `clock`."""
        if self.ratio is None:
            return np.zeros(self.width)
        before = end_s < clock + costs.LEAST_HELD * self.ratio * self._length_s
        return np.where(before, self._ended_before, 0.0)

    def begin_anywhere(self) -> Floats:
        """Return what it costs to begin at each place when nothing tells where, once the ear has lost its place."""
        first: Floats = self._tables.first[self.places]
        return first

    def begin_anew(self, here: int, segment: Segment, last_note: Note | None) -> Floats:
        """Return what it costs to begin anew at each place, from rank `here`: farther is dearer, forward most."""
        if not segment.rank:
            opening: Floats = self._tables.opening[self.places]
            return opening
        begin = self._begin
        if not segment.silence_s:
            # A note held on swallows an equal one with which a bar begins: then its second is the first to be heard.
            begin = np.minimum(begin, np.where(self._note_before == last_note, self._begin_before, np.inf))
        across = (self.ranks > here) != (self._written > self._written[here])
        cost: Floats = begin + self._tables.leap[self.places - self.places[here]] + costs.LEAP_ACROSS * across
        self._begin_own_bar(cost, begin, here)
        if segment.silence_s >= costs.STOP_S:
            cost -= costs.STOP_BEFORE_BEGINNING
        if self.places[here] == self._tables.size - 1:
            swallowed = not segment.silence_s and self._tables.note[1] == last_note
            cost = np.where(self.places == 1 + swallowed, np.minimum(cost, costs.PLAY_AGAIN), cost)
        return cost

    def _begin_own_bar(self, cost: Floats, begin: Floats, here: int) -> None:
        """Let the bar of rank `here` begin again at less cost: with its first note, swallowed or not, or with the
        second where the note heard last sounds like the first."""
        place = self.places[here]
        bar, second = int(self._tables.bar_of[place]), int(self._tables.second_of[place])
        first = int(self.places.searchsorted(bar))
        ranks = [rank for rank in (first, first + 1) if rank < here and begin[rank] <= costs.BEGIN_AT_BAR]
        if second:
            ranks.append(int(self.places.searchsorted(second)))
        for rank in ranks:
            cost[rank] = min(cost[rank], costs.BEGIN_AT_OWN_BAR)

    def walk(
        self,
        leave: Floats,
        clock: Floats,
        now_s: float,
        unclocked_until_s: float,
        held: float = 0.0,
        in_place: Bools | None = None,
        onto_share: float = 0.0,
    ) -> tuple[Floats, Ints]:
        """Return the cost of the cheapest way onward to each place, and how many it skips; off its time it is dearer.

        leave: what it costs to have been at each place. Clocks before `unclocked_until_s` tell nothing. held: what it
        costs more to leave out a melody note after its gracenote, where the last note was a place's own (`in_place`);
        onto_share: how many times that to come to it.
        """
        pad, work, slack = costs.SKIP_TOKENS, self._work, self._slack
        self._leave[pad:], self._leave_clock[pad:] = leave, clock
        np.add(self._from, self._skip, out=work)
        if in_place is not None:
            np.multiply(in_place, held, out=self._held[pad:])
            parted = self._parted + onto_share * self._onto if onto_share else self._parted
            np.multiply(self._from_held, parted, out=slack)
            work += slack
        if self.ratio is not None and unclocked_until_s < now_s:
            np.subtract(now_s, self._from_clock, out=slack)
            slack -= self._expected_s
            np.abs(slack, out=slack)
            slack *= self._per_s
            np.minimum(slack, costs.OFF_TIME_MOST, out=slack)
            if clock.min() < unclocked_until_s:
                slack *= self._from_clock >= unclocked_until_s
            work += slack
        skipped = work.argmin(axis=0)
        return work[skipped, self.ranks], skipped

    def run_together(
        self, match: Floats, origin: Ints, clock: Floats, *, held: bool
    ) -> tuple[Floats, Ints, Floats, Ints, Ints]:
        """Let a held note stand for the next equal one as well, what should have parted them left out.

        What costs so much more than the best that it would be settled against is not looked at. Returns cost, origin
        and clock with that; for each place the one from which it ran on, -1 where it did not; and for each state the
        one in which the held note began.
        """
        ran_on_from, roots = self._nothing_ran_on, self.states
        if not held:
            return match, origin, clock, ran_on_from, roots
        most = match.min() + costs.COMMIT_MARGIN_MOST
        for turn in range(costs.MERGE_CHAIN):
            merged = match[self._same] + self._run_on
            better = merged < np.minimum(match, most)
            if not np.count_nonzero(better):  # faster than any() on so few
                break
            if not turn:
                ran_on_from, roots = ran_on_from.copy(), roots.copy()
            before = self._same[better]
            ran_on_from[better] = before
            roots[: self.width][better] = roots[before]
            match = np.where(better, merged, match)
            origin = np.where(better, origin[self._same], origin)
            clock = np.where(better, clock[self._same] + self._run_on_s * (self.ratio or 1.0), clock)
        return match, origin, clock, ran_on_from, roots


def _each_come_from(width: int, unknown: float) -> tuple[Floats, Floats]:
    """Return room for values (SKIP_TOKENS + width,), those before the window unknown, and a view of it (SKIP_TOKENS,
    width): for each place the value at the place so many before it, one for none left out."""
    pad = costs.SKIP_TOKENS
    room = np.full(pad + width, unknown)
    item = room.itemsize
    return room, np.ndarray((pad, width), room.dtype, room.data, (pad - 1) * item, (-item, item))
