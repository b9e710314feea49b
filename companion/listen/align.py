"""The alignment: the cheapest reading of what was heard as a walk through what was asked, found as the notes come.

It is Viterbi's algorithm over places of the tune (see `tables.Tables`). After each heard note there are two states for each
place: the note was that place's own (MATCH), or an extra one after it (EXTRA). A reading is settled, and handed on, once all
others cost clearly more; live and from a file it is the same walk, note by note.
"""

from __future__ import annotations

import enum
from collections import deque
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from companion.listen import costs
from companion.listen.asked import Asked
from companion.listen.segments import SETTLED_S, Segment
from companion.listen.tables import Floats, Ints, Tables
from fingering.notes import Note

MATCH, EXTRA = 0, 1
BACK, AHEAD, FAR_RUN, FAR_RUNS, WHOLE = 144, 112, 24, 8, 320
"""Places kept in view behind and before the present one, at each far beginning, how many of those; up to WHOLE, all."""

DRIFT = 48
"""The view is laid anew when the present place is this far from its middle."""

TEMPO_NOTES = 9
TEMPO_NOTES_LEAST = 4
SLOWEST_RATIO, FASTEST_RATIO = 12.0, 0.08


class Reading(enum.Enum):
    """How one heard note is read: in its own place, going on after an interruption, or as an extra one."""

    MATCH = "match"
    RESUME = "resume"
    EXTRA = "extra"


@dataclass(frozen=True, slots=True)
class Step:
    """One heard note as it is read. `tokens` are those it stands for (several where a held note ran on over what should
    have parted it), empty for an extra one; `after` is the token last heard before it, -1 before the first. `ran_on` are
    tokens that the last heard note turned out to stand for as well."""

    segment: Segment
    reading: Reading
    tokens: tuple[int, ...]
    after: int
    cost: float
    ran_on: tuple[int, ...] = ()


@dataclass(slots=True)
class _Column:
    """What is kept of one heard note until it is settled: for each state where it came from, and what ran on.

    States are MATCH at each place in view, then EXTRA at each. `rebase` leads from the states of a view laid since.
    """

    segment: Segment | None
    origin: Ints
    ran_on_from: Ints
    cost: Floats
    places: Ints
    rebase: Ints | None = None

    def chain(self, state: int) -> list[int]:
        """The states that a held note passed through to this one, the first first."""
        passed = [state]
        while state < len(self.places) and (state := int(self.ran_on_from[state])) >= 0:
            passed.append(state)
        return passed[::-1]

    def runs_on_to(self, state: int) -> set[int]:
        """That state and all that the held note can run on to from it."""
        kin = {state}
        for place in np.flatnonzero(self.ran_on_from >= 0).tolist():
            if int(self.ran_on_from[place]) in kin:
                kin.add(place)
        return kin

    @property
    def stopped(self) -> bool:
        """Whether the note came after a stop."""
        return self.segment is not None and self.segment.silence_s >= costs.STOP_S


class Aligner:
    """Reads heard notes one by one; `push` returns the steps settled by each, `finish` the rest."""

    def __init__(self, asked: Asked) -> None:
        self._tables = Tables(asked)
        self._ratios: deque[float] = deque(maxlen=TEMPO_NOTES)
        self.ratio: float | None = None
        self._last_melody: tuple[int, float] | None = None
        self._unclocked_until_s = float("-inf")
        self._last_note: Note | None = None
        self._no_crossing: Floats | float = 0.0
        self._lay_view(0)
        self._cost, self._clock = np.full((2, self._width), np.inf), np.zeros((2, self._width))
        self._cost[MATCH, 0] = 0.0
        nowhere = np.full(2 * self._width, -1)
        # The last settled column is kept in front, in this state: every reading goes on from there.
        self._columns = deque([_Column(None, nowhere, nowhere, self._cost.ravel(), self._places)])
        self._settled = 0

    # --- the view: which places are kept ---

    def _view_places(self, centre: int) -> Ints:
        size = self._tables.size
        if size <= WHOLE:
            return np.arange(size)
        runs = [np.arange(max(0, centre - BACK), min(size, centre + AHEAD))]
        nearest = sorted(self._tables.far_starts, key=lambda start: abs(start - centre))[:FAR_RUNS]
        starts = {1, *nearest}
        runs += [np.arange(start, min(size, start + FAR_RUN)) for start in starts]
        return np.unique(np.concatenate(runs))

    def _lay_view(self, centre: int) -> None:
        tables = self._tables
        places = self._view_places(centre)
        width = self._width = len(places)
        self._places, self._centre = places, centre
        self._arange = np.arange(width)
        self._mismatch, self._extra = tables.mismatch[:, places], tables.extra[:, places]
        self._is_melody, self._note = tables.is_melody[places], tables.note[places]
        self._length_s = tables.length_s[places]
        self._begin = tables.begin[places]
        self._same = np.minimum(np.searchsorted(places, tables.same[places]), width - 1)
        joined = places[self._same] == tables.same[places]
        self._run_on = np.where(joined, tables.run_on[places], np.inf)
        self._run_on_s = tables.start_s[places] - tables.start_s[places[self._same]]
        shifts = np.arange(costs.SKIP_TOKENS)[:, None]
        come_from = self._arange[None, :] - 1 - shifts
        adjacent = (come_from >= 0) & (places[np.maximum(come_from, 0)] == places[None, :] - 1 - shifts)
        self._skip = np.where(adjacent, tables.skip[:, places], np.inf)
        self._asked_s = np.where(
            adjacent, tables.start_s[places] - tables.start_s[places[np.maximum(come_from, 0)]], 0.0
        )
        pad = costs.SKIP_TOKENS
        self._leave, self._leave_clock = np.full(pad + width, np.inf), np.zeros(pad + width)
        self._from = sliding_window_view(self._leave, width)[pad - 1 :: -1][:pad]
        self._from_clock = sliding_window_view(self._leave_clock, width)[pad - 1 :: -1][:pad]
        self._work, self._slack = np.empty_like(self._skip), np.empty_like(self._skip)
        self._set_ratio(self.ratio)

    def _set_ratio(self, ratio: float | None) -> None:
        self.ratio = ratio
        if ratio is not None:
            self._expected_s = self._asked_s * ratio
            self._per_s = costs.OFF_TIME / (costs.OFF_TIME_SHARE * self._expected_s + costs.OFF_TIME_S)

    def _move_view(self, centre: int) -> None:
        """Lay the view anew and move the present costs into it; places that were not in view cannot be reached."""
        old = self._places
        self._lay_view(centre)
        at = np.minimum(np.searchsorted(old, self._places), len(old) - 1)
        known = old[at] == self._places
        self._cost = np.where(known, self._cost[:, at], np.inf)
        self._clock = self._clock[:, at]
        self._no_crossing = 0.0
        self._columns[-1].rebase = np.concatenate([at, at + len(old)])

    # --- one heard note ---

    def push(self, segment: Segment) -> list[Step]:
        """Read one more heard note."""
        if segment.silence_s >= costs.STOP_S:
            self._unclocked_until_s = segment.onset_s
        self._columns.append(self._next(segment))
        best = int(self._cost.argmin())
        place, state = int(self._places[best % self._width]), best // self._width
        steps = self._settle(best)
        self._follow(place, state == MATCH, segment)
        return steps

    def finish(self) -> list[Step]:
        """The take is over: the cheapest reading of what is left."""
        last = len(self._columns) - 1
        if not last:
            return []
        return self._hand_on(last, self._own(last, int(self._cost.argmin())))

    def _follow(self, place: int, matched: bool, segment: Segment) -> None:
        """Learn the tempo from one melody note to the next, and keep the present place in view."""
        if matched and self._tables.is_melody[place]:
            self._learn_tempo(place, segment)
            self._last_melody = (place, segment.onset_s)
        if self._tables.size > WHOLE and abs(place - self._centre) > DRIFT:
            self._move_view(place)

    def _learn_tempo(self, place: int, segment: Segment) -> None:
        if self._last_melody is None or segment.silence_s:
            return
        before, onset_s = self._last_melody
        asked_s = self._tables.start_s[place] - self._tables.start_s[before]
        if not (0 < place - before <= costs.SKIP_TOKENS and asked_s > 0.0):
            return
        self._ratios.append((segment.onset_s - onset_s) / asked_s)
        if len(self._ratios) >= TEMPO_NOTES_LEAST:
            self._set_ratio(min(max(median(self._ratios), FASTEST_RATIO), SLOWEST_RATIO))

    def _heard_as(self, segment: Segment) -> Floats:
        """What it costs to hear a note as each place's own, by its pitch and its length."""
        cost = self._mismatch[segment.note].copy()
        lasted_s = segment.lasted_s()
        if lasted_s > costs.LONG_GRACENOTE_FROM_S:
            share = min(1.0, (lasted_s - costs.LONG_GRACENOTE_FROM_S) / (SETTLED_S - costs.LONG_GRACENOTE_FROM_S))
            grace = costs.LONG_GRACENOTE * share
            cost += np.where(self._is_melody, 0.0, grace + (cost > 0) * (costs.WRONG_AND_LONG_GRACENOTE * share))
        if lasted_s < SETTLED_S:
            halvings = np.log2(np.maximum(self._length_s * (self.ratio or 1.0), 1e-3) / (2.0 * lasted_s))
            short = np.clip(costs.SHORTENED_NOTE * halvings, 0.0, costs.SHORTENED_NOTE_MOST)
            cost += np.where(self._is_melody, short, 0.0)
        return cost

    def _next(self, segment: Segment) -> _Column:
        width, now_s = self._width, segment.onset_s
        from_extra = self._cost[EXTRA] < self._cost[MATCH]
        leave = np.where(from_extra, self._cost[EXTRA], self._cost[MATCH])
        clock = np.where(from_extra, self._clock[EXTRA], self._clock[MATCH])
        states = self._arange + width * from_extra
        match, skipped = self._walk(leave, clock, now_s)
        origin = states[np.maximum(self._arange - 1 - skipped, 0)]
        cheapest = int(leave.argmin())
        begin = leave[cheapest] + (self._begin_from(cheapest) if segment.rank else self._tables.first[self._places])
        if segment.silence_s >= costs.STOP_S:
            begin -= costs.STOP_BEFORE_BEGINNING
        anew = begin < match
        match, origin = np.where(anew, begin, match), np.where(anew, states[cheapest], origin)
        new_clock = np.full(width, now_s)
        # After a stop any note may go on; otherwise only one that something else has interrupted.
        stopped = segment.silence_s > 0.0 or segment.note is self._last_note
        interrupted = costs.RESUME + (leave if stopped else self._cost[EXTRA] + self._no_crossing)
        going_on = (interrupted < match) & (self._note == segment.note)
        if going_on.any():
            match = np.where(going_on, interrupted, match)
            origin = np.where(going_on, states if stopped else self._arange + width, origin)
            new_clock = np.where(going_on, clock if stopped else self._clock[EXTRA], new_clock)
        match = match + self._heard_as(segment)
        ran_on_from = np.full(width, -1)
        if segment.lasted_s() > costs.LONG_GRACENOTE_FROM_S / 2:
            match, origin, new_clock = self._run_together(match, origin, new_clock, ran_on_from)
        short = self._extra[segment.note]
        cost = np.stack([match, leave + _extra_cost(segment, short)])
        # Where the note before goes on, no fingers were crossing: the noise costs as any other.
        self._no_crossing = costs.EXTRA_SHORT - short
        self._cost, self._clock = cost, np.stack([new_clock, clock])
        self._last_note = segment.note
        return _Column(segment, np.concatenate([origin, states]), ran_on_from, cost.ravel(), self._places)

    def _begin_from(self, here: int) -> Floats:
        """What it costs to begin anew at each place, the further the dearer, forward dearer than back."""
        offsets = self._places - self._places[here]
        return self._begin + self._tables.leap[offsets]

    def _walk(self, leave: Floats, clock: Floats, now_s: float) -> tuple[Floats, Ints]:
        """The cheapest way onward to each place, some left out between, each a little dearer off its time."""
        pad, work, slack = costs.SKIP_TOKENS, self._work, self._slack
        self._leave[pad:], self._leave_clock[pad:] = leave, clock
        np.add(self._from, self._skip, out=work)
        if self.ratio is not None and self._unclocked_until_s < now_s:
            np.subtract(now_s, self._from_clock, out=slack)
            slack -= self._expected_s
            np.abs(slack, out=slack)
            slack *= self._per_s
            np.minimum(slack, costs.OFF_TIME_MOST, out=slack)
            slack *= self._from_clock >= self._unclocked_until_s
            work += slack
        skipped = work.argmin(axis=0)
        return work[skipped, self._arange], skipped

    def _run_together(
        self, match: Floats, origin: Ints, clock: Floats, ran_on_from: Ints
    ) -> tuple[Floats, Ints, Floats]:
        """A held note can stand for the next equal one as well, what should have parted them left out."""
        for _ in range(costs.MERGE_CHAIN):
            merged = match[self._same] + self._run_on
            better = merged < match
            if not better.any():
                break
            ran_on_from[better] = self._same[better]
            match = np.where(better, merged, match)
            origin = np.where(better, origin[self._same], origin)
            clock = np.where(better, clock[self._same] + self._run_on_s * (self.ratio or 1.0), clock)
        return match, origin, clock

    # --- settling ---

    def _settle(self, best: int) -> list[Step]:
        flat = self._cost.ravel()
        doubted = float(flat[best]) - float(self._columns[0].cost[self._settled])
        margin = min(costs.COMMIT_MARGIN + max(0.0, doubted), costs.COMMIT_MARGIN_MOST)
        if any(column.stopped for column in self._columns):
            margin = max(margin, costs.COMMIT_MARGIN_STOPPED)
        alive = set(np.flatnonzero(flat <= flat[best] + margin).tolist())
        depth = len(self._columns) - 1
        while (root := self._root(depth, alive)) is None and depth > 1:
            alive = {self._before(depth, state) for state in alive}
            depth -= 1
        if root is not None:
            return self._hand_on(depth, root)
        if len(self._columns) <= costs.LONGEST_DOUBT:
            return []
        return self._hand_on(1, self._columns[1].chain(self._back_to(1, best))[0])

    def _root(self, depth: int, states: set[int]) -> int | None:
        """The one state that all of these are, or that the held note ran on from to each; None if they disagree."""
        column = self._columns[depth]
        roots = {column.chain(state)[0] for state in states}
        return roots.pop() if len(roots) == 1 else None

    def _own(self, depth: int, state: int) -> int:
        """A state of the present view as a state of that column's own view."""
        rebase = self._columns[depth].rebase
        return state if rebase is None else int(rebase[state])

    def _before(self, depth: int, state: int) -> int:
        """The state one column earlier, in that column's own view."""
        return self._own(depth - 1, int(self._columns[depth].origin[state]))

    def _back_to(self, depth: int, state: int) -> int:
        for later in range(len(self._columns) - 1, depth, -1):
            state = self._before(later, state)
        return state

    def _hand_on(self, depth: int, state: int) -> list[Step]:
        """Settle all columns up to `depth`, that one in `state`, and drop every reading that disagrees.

        What the last of them may yet run on to stays open: a held note is not over before another has begun.
        """
        self._forget_others(depth, state)
        settled = state
        steps: list[Step] = []
        for each in range(depth, 0, -1):
            before = self._before(each, state)
            steps.append(self._step(each, state, before))
            state = before
        self._settled = settled
        for _ in range(depth):
            self._columns.popleft()
        return steps[::-1]

    def _forget_others(self, depth: int, state: int) -> None:
        came_from = np.arange(2 * self._width)
        for later in range(len(self._columns) - 1, depth, -1):
            column = self._columns[later]
            if column.rebase is not None:
                came_from = column.rebase[came_from]
            came_from = column.origin[came_from]
        column = self._columns[depth]
        if column.rebase is not None:
            came_from = column.rebase[came_from]
        kin = column.runs_on_to(state)
        agrees = came_from == state if len(kin) == 1 else np.isin(came_from, list(kin))
        self._cost.ravel()[~agrees] = np.inf

    def _step(self, depth: int, state: int, before: int) -> Step:
        column, earlier = self._columns[depth], self._columns[depth - 1]
        assert column.segment is not None
        after = _token(earlier, before)
        cost = float(column.cost[state] - earlier.cost[before])
        ran_on: tuple[int, ...] = ()
        if depth == 1:
            passed = earlier.chain(before)
            begun = passed.index(self._settled)
            cost = float(column.cost[state] - earlier.cost[self._settled])
            ran_on = tuple(_token(earlier, each) for each in passed[begun + 1 :])
        if state >= len(column.places):
            return Step(column.segment, Reading.EXTRA, (), after, cost, ran_on)
        tokens = tuple(_token(column, each) for each in column.chain(state))
        reading = Reading.RESUME if tokens[0] == after else Reading.MATCH
        return Step(column.segment, reading, tokens, after, cost, ran_on)


def _token(column: _Column, state: int) -> int:
    return int(column.places[state % len(column.places)]) - 1


def _extra_cost(segment: Segment, short: Floats) -> Floats:
    lasted_s = segment.lasted_s()
    if lasted_s <= costs.SHORT_S:
        return short
    share = min(1.0, (lasted_s - costs.SHORT_S) / (SETTLED_S - costs.SHORT_S))
    return short + share * (costs.EXTRA_LONG - short)
