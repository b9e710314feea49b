"""The alignment: the cheapest reading of what was heard as a walk through what was asked, found as the notes come.

It is Viterbi's algorithm over places of the tune (see `tables.Tables`). After each heard note there are two states for each
place: the note was that place's own (MATCH), or an extra one after it (EXTRA). A reading is settled, and handed on, once all
others cost clearly more; live and from a file it is the same walk, note by note.
"""

from __future__ import annotations

import enum
import math
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
BACK, AHEAD, FAR_RUN, FAR_RUNS = 112, 80, 20, 8
"""The wide view: places kept behind and before the present one, at each far beginning, and how many of those."""

NEAR_AHEAD = 36
"""The near view, for playing that goes as asked: the present place and so many ahead."""

DRIFT = 20
"""A view is laid anew when the present place has moved this far in it."""

FEW = 24
"""So many states are followed back one by one faster than as an array."""

TEMPO_NOTES = 9
TEMPO_NOTES_LEAST = 4
SHORTEST_S = 0.001
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

    States are MATCH at each place in view, then EXTRA at each. roots: the state in which a held note began that ran on to
    this one. `rebase` leads from the states of a view laid since to this column's own.
    """

    segment: Segment | None
    origin: Ints
    ran_on_from: Ints
    roots: Ints
    cost: Floats
    clock: Floats
    places: Ints
    rebase: Ints | None = None

    def chain(self, state: int) -> list[int]:
        """The states that a held note passed through to this one, the first first."""
        passed = [state]
        while state < len(self.places) and (state := int(self.ran_on_from[state])) >= 0:
            passed.append(state)
        return passed[::-1]

    def root_of(self, states: set[int]) -> int | None:
        """The one state that all of these are, or that the held note ran on from to each; None if they disagree."""
        roots = self.roots
        first = -1
        for state in states:
            root = int(roots[state])
            if first not in (-1, root):
                return None
            first = root
        return first

    def own(self, states: Ints) -> Ints:
        """States of the view in force, or of the next column, as this column's own."""
        return states if self.rebase is None else self.rebase[states]

    def token(self, state: int) -> int:
        """The token at a state's place, -1 before the first."""
        return int(self.places[state % len(self.places)]) - 1


class Aligner:
    """Reads heard notes one by one; `push` returns the steps settled by each, `finish` the rest.

    While all goes as asked only the near view is searched: whoever begins again pays more there than what is in doubt. As
    soon as something is amiss, the notes not yet settled are read again in the wide view, so that the result is the same.
    """

    def __init__(self, asked: Asked) -> None:
        self._tables = Tables(asked)
        self._ratios: deque[float] = deque(maxlen=TEMPO_NOTES)
        self.ratio: float | None = None
        self._last_melody: tuple[int, float] | None = None
        self._unclocked_until_s = float("-inf")
        self._last_note: Note | None = None
        self._no_crossing: Floats | float = 0.0
        self._wide = True
        self._lay_view(self._wide_places(0), 0)
        self._cost, self._clock = np.full((2, self._width), np.inf), np.zeros((2, self._width))
        self._cost[MATCH, 0] = 0.0
        nowhere, own = np.full(2 * self._width, -1), np.arange(2 * self._width)
        # The last settled column is kept in front, in this state: every reading goes on from there.
        self._columns = deque([_Column(None, nowhere, nowhere, own, self._cost, self._clock, self._places)])
        self._settled = 0
        self._oldest = own

    # --- the view: which places are kept ---

    def _wide_places(self, centre: int) -> Ints:
        size = self._tables.size
        if size <= BACK + AHEAD:
            return np.arange(size)
        runs = [np.arange(max(0, centre - BACK), min(size, centre + AHEAD))]
        nearest = sorted(self._tables.far_starts, key=lambda start: abs(start - centre))[:FAR_RUNS]
        runs += [np.arange(start, min(size, start + FAR_RUN)) for start in {1, *nearest}]
        return np.unique(np.concatenate(runs))

    def _near_places(self, centre: int) -> Ints:
        return np.arange(centre, min(self._tables.size, centre + NEAR_AHEAD))

    def _lay_view(self, places: Ints, centre: int) -> None:
        tables = self._tables
        width = self._width = len(places)
        self._places, self._centre = places, centre
        self._arange = np.arange(width)
        self._mismatch, self._extra = tables.mismatch[:, places], tables.extra[:, places]
        self._note = tables.note[places]
        grace = ~tables.is_melody[places]
        long = costs.LONG_GRACENOTE + costs.WRONG_AND_LONG_GRACENOTE * (self._mismatch > 0.0)
        self._long_grace = grace * long
        self._mismatch_long = self._mismatch + self._long_grace
        self._shortened_most = np.where(grace, 0.0, costs.SHORTENED_NOTE_MOST)
        self._lengths = np.log2(np.maximum(tables.length_s[places], SHORTEST_S))
        self._begin = tables.begin[places]
        one_before = np.maximum(places - 1, 0)
        self._begin_before, self._note_before = tables.begin[one_before], tables.note[one_before]
        held = tables.same[places]
        self._same = np.minimum(np.searchsorted(places, held), width - 1)
        self._run_on = np.where(places[self._same] == held, tables.run_on[places], np.inf)
        self._run_on_s = tables.start_s[places] - tables.start_s[places[self._same]]
        shifts = np.arange(costs.SKIP_TOKENS)[:, None]
        come_from = self._arange[None, :] - 1 - shifts
        before = places[np.maximum(come_from, 0)]
        adjacent = (come_from >= 0) & (before == places[None, :] - 1 - shifts)
        self._skip = np.where(adjacent, tables.skip[:, places], np.inf)
        self._asked_s = np.where(adjacent, tables.start_s[places] - tables.start_s[before], 0.0)
        pad = costs.SKIP_TOKENS
        self._leave, self._leave_clock = np.full(pad + width, np.inf), np.zeros(pad + width)
        self._from = sliding_window_view(self._leave, width)[pad - 1 :: -1][:pad]
        self._from_clock = sliding_window_view(self._leave_clock, width)[pad - 1 :: -1][:pad]
        self._work, self._slack = np.empty_like(self._skip), np.empty_like(self._skip)
        self._set_ratio(self.ratio)

    def _set_ratio(self, ratio: float | None) -> None:
        self.ratio = ratio
        self._log_length = costs.SHORTENED_NOTE * (self._lengths + math.log2(ratio or 1.0))
        if ratio is not None:
            self._expected_s = self._asked_s * ratio
            self._per_s = costs.OFF_TIME / (costs.OFF_TIME_SHARE * self._expected_s + costs.OFF_TIME_S)

    def _move_view(self, places: Ints, centre: int) -> None:
        """Lay the view anew over the last column; places that were not in its own view cannot be reached."""
        column = self._columns[-1]
        old, cost, clock = self._places, self._cost, self._clock
        self._lay_view(places, centre)
        at = np.minimum(np.searchsorted(old, places), len(old) - 1)
        self._cost = np.where(old[at] == places, cost[:, at], np.inf)
        self._clock = clock[:, at]
        self._no_crossing = 0.0
        own = np.minimum(np.searchsorted(column.places, places), len(column.places) - 1)
        column.rebase = np.concatenate([own, own + len(column.places)])

    def _widen(self) -> None:
        """Something is amiss: read again, in the wide view, what is not settled."""
        base, *later = self._columns
        self._wide = True
        self._columns = deque([base])
        kin = base.roots == self._settled
        self._places = base.places
        self._cost = np.where(kin.reshape(2, -1), base.cost, np.inf)
        self._clock = base.clock
        self._last_note = None if base.segment is None else base.segment.note
        place = base.token(self._settled) + 1
        self._move_view(self._wide_places(place), place)
        for column in later:
            assert column.segment is not None
            self._append(self._next(column.segment))

    # --- one heard note ---

    def push(self, segment: Segment) -> list[Step]:
        """Read one more heard note."""
        stopped = segment.silence_s >= costs.STOP_S
        if stopped:
            self._unclocked_until_s = segment.onset_s
        self._append(self._next(segment))
        if not self._wide and (stopped or self._doubt() > costs.AMISS):
            self._widen()
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
        best = int(self._columns[-1].own(np.array([self._cost.argmin()]))[0])
        return self._hand_on(last, best)

    def _doubt(self) -> float:
        """What the cheapest reading has cost since the last settled note."""
        return float(self._cost.min() - self._columns[0].cost.ravel()[self._settled])

    def _follow(self, place: int, matched: bool, segment: Segment) -> None:
        """Learn the tempo from one melody note to the next, and keep the present place in view."""
        if matched and self._tables.is_melody[place]:
            self._learn_tempo(place, segment)
            self._last_melody = (place, segment.onset_s)
        if len(self._columns) == 1:
            if self._wide or place - self._centre > DRIFT:
                self._wide = False
                self._move_view(self._near_places(place), place)
        elif self._wide and len(self._places) < self._tables.size and abs(place - self._centre) > DRIFT:
            self._move_view(self._wide_places(place), place)

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
        lasted_s = segment.lasted_s()
        if lasted_s >= SETTLED_S:
            return self._mismatch_long[segment.note]
        shortened = np.maximum(self._log_length - costs.SHORTENED_NOTE * math.log2(2.0 * lasted_s), 0.0)
        cost = self._mismatch[segment.note] + np.minimum(shortened, self._shortened_most)
        share = (lasted_s - costs.LONG_GRACENOTE_FROM_S) / (SETTLED_S - costs.LONG_GRACENOTE_FROM_S)
        if share > 0.0:
            cost += share * self._long_grace[segment.note]
        return cost

    def _next(self, segment: Segment) -> _Column:
        width, now_s = self._width, segment.onset_s
        from_extra = self._cost[EXTRA] < self._cost[MATCH]
        leave = np.where(from_extra, self._cost[EXTRA], self._cost[MATCH])
        clock = np.where(from_extra, self._clock[EXTRA], self._clock[MATCH])
        states = self._arange + width * from_extra
        match, skipped = self._walk(leave, clock, now_s)
        origin = states[np.maximum(self._arange - 1 - skipped, 0)]
        if self._wide:
            cheapest = int(leave.argmin())
            begin = self._begin_from(cheapest, segment) + leave[cheapest]
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
        roots = np.arange(2 * width)
        ran_on_from = np.full(width, -1)
        if segment.lasted_s() > costs.LONG_GRACENOTE_FROM_S / 2:
            match, origin, new_clock = self._run_together(match, origin, new_clock, ran_on_from, roots)
        short = self._extra[segment.note]
        # Where the note before goes on, no fingers were crossing: the noise costs as any other.
        self._no_crossing = costs.EXTRA_SHORT - short
        self._cost, self._clock = np.empty((2, width)), np.empty((2, width))
        self._cost[MATCH], self._cost[EXTRA] = match, leave + _extra_cost(segment, short)
        self._clock[MATCH], self._clock[EXTRA] = new_clock, clock
        self._last_note = segment.note
        return _Column(
            segment, np.concatenate([origin, states]), ran_on_from, roots, self._cost, self._clock, self._places
        )

    def _begin_from(self, here: int, segment: Segment) -> Floats:
        """What it costs to begin anew at each place, the further the dearer, forward dearer than back."""
        if not segment.rank:
            return self._tables.first[self._places]
        begin = self._begin
        if not segment.silence_s:
            # A note held on swallows an equal one with which a bar begins: then its second is the first to be heard.
            begin = np.minimum(begin, np.where(self._note_before == self._last_note, self._begin_before, np.inf))
        cost = begin + self._tables.leap[self._places - self._places[here]]
        return cost - costs.STOP_BEFORE_BEGINNING if segment.silence_s >= costs.STOP_S else cost

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
        self, match: Floats, origin: Ints, clock: Floats, ran_on_from: Ints, roots: Ints
    ) -> tuple[Floats, Ints, Floats]:
        """A held note can stand for the next equal one as well, what should have parted them left out."""
        for _ in range(costs.MERGE_CHAIN):
            merged = match[self._same] + self._run_on
            better = merged < match
            if not better.any():
                break
            held = self._same[better]
            ran_on_from[better] = held
            roots[: len(better)][better] = roots[held]
            match = np.where(better, merged, match)
            origin = np.where(better, origin[self._same], origin)
            clock = np.where(better, clock[self._same] + self._run_on_s * (self.ratio or 1.0), clock)
        return match, origin, clock

    # --- settling ---

    def _settle(self, best: int) -> list[Step]:
        flat = self._cost.ravel()
        margin = min(costs.COMMIT_MARGIN + costs.DOUBT_SHARE * max(0.0, self._doubt()), costs.COMMIT_MARGIN_MOST)
        if self._stopped_lately():
            margin = costs.COMMIT_MARGIN_STOPPED
        states = np.flatnonzero(flat <= flat[best] + margin)
        oldest = self._oldest[states]
        if (oldest != oldest[0]).any():
            return self._hand_on(1, int(self._oldest[best])) if len(self._columns) > costs.LONGEST_DOUBT else []
        alive = set(states.tolist())
        for depth in range(len(self._columns) - 1, 0, -1):
            column = self._columns[depth]
            root = column.root_of(alive)
            if root is not None:
                return self._hand_on(depth, root)
            if len(alive) > FEW:
                alive = set(np.unique(self._before(depth, np.array(list(alive)))).tolist())
            else:
                alive = {self._state_before(depth, state) for state in alive}
        raise AssertionError("readings that agree on the oldest note part nowhere")

    def _stopped_lately(self) -> bool:
        """Whether one of the last few notes, not settled yet, came after a stop."""
        lately = min(len(self._columns) - 1, costs.NOTES_AFTER_STOP)
        segments = (self._columns[-1 - back].segment for back in range(lately))
        return any(segment is not None and segment.silence_s >= costs.STOP_S for segment in segments)

    def _append(self, column: _Column) -> None:
        """Add a column, and see where each of its states stood in the oldest one that is not settled."""
        if len(self._columns) == 1:
            self._oldest = column.roots
        else:
            self._oldest = self._oldest[self._columns[-1].own(column.origin)]
        self._columns.append(column)

    def _before(self, depth: int, states: Ints) -> Ints:
        """The states one column earlier, in that column's own view."""
        return self._columns[depth - 1].own(self._columns[depth].origin[states])

    def _state_before(self, depth: int, state: int) -> int:
        """The same for one state."""
        column = self._columns[depth - 1]
        before = int(self._columns[depth].origin[state])
        return before if column.rebase is None else int(column.rebase[before])

    def _hand_on(self, depth: int, state: int) -> list[Step]:
        """Settle all columns up to `depth`, that one in `state`, and drop every reading that disagrees.

        What the last of them may yet run on to stays open: a held note is not over before another has begun.
        """
        self._forget_others(depth, state)
        settled = state
        steps: list[Step] = []
        for each in range(depth, 0, -1):
            before = self._state_before(each, state)
            steps.append(self._step(each, state, before))
            state = before
        self._settled = settled
        for _ in range(depth):
            self._columns.popleft()
        later = [self._columns.pop() for _ in range(len(self._columns) - 1)]
        for column in reversed(later):
            self._append(column)
        return steps[::-1]

    def _forget_others(self, depth: int, state: int) -> None:
        last = len(self._columns) - 1
        came_from = self._columns[last].own(np.arange(2 * self._width))
        for later in range(last, depth, -1):
            came_from = self._before(later, came_from)
        agrees = self._columns[depth].roots[came_from] == state
        if depth == last:
            self._cost = np.where(agrees.reshape(2, -1), self._cost, np.inf)
        else:
            self._cost.ravel()[~agrees] = np.inf

    def _step(self, depth: int, state: int, before: int) -> Step:
        column, earlier = self._columns[depth], self._columns[depth - 1]
        assert column.segment is not None
        begun, ran_on = before, tuple[int, ...]()
        if depth == 1:
            begun = self._settled
            passed = earlier.chain(before)
            ran_on = tuple(earlier.token(each) for each in passed[passed.index(begun) + 1 :])
        after = earlier.token(before)
        cost = float(column.cost.ravel()[state] - earlier.cost.ravel()[begun])
        if state >= len(column.places):
            return Step(column.segment, Reading.EXTRA, (), after, cost, ran_on)
        tokens = tuple(column.token(each) for each in column.chain(state))
        reading = Reading.RESUME if tokens[0] == after else Reading.MATCH
        return Step(column.segment, reading, tokens, after, cost, ran_on)


def _extra_cost(segment: Segment, short: Floats) -> Floats:
    lasted_s = segment.lasted_s()
    if lasted_s <= costs.SHORT_S:
        return short
    share = min(1.0, (lasted_s - costs.SHORT_S) / (SETTLED_S - costs.SHORT_S))
    return short + share * (costs.EXTRA_LONG - short)
