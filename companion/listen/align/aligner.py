"""The alignment: the cheapest reading of what was heard as a walk through what was asked, found as the notes come.

It is Viterbi's algorithm over places of the tune (see `tables.Tables`). After each heard note there are two states
for each place: the note was that place's own (MATCH), or an extra one after it (EXTRA). A reading is settled, and
handed on, once all others cost clearly more; live and from a file it is the same walk, note by note.
"""

from __future__ import annotations

import enum
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

import numpy as np

from companion.listen.align import costs
from companion.listen.align.columns import Column
from companion.listen.align.search_window import View
from companion.listen.align.tables import Floats, Ints, Tables
from companion.listen.model.asked import Asked
from companion.listen.model.segments import SETTLED_S, Segment
from fingering.notes import Note

MATCH, EXTRA = 0, 1
BACK, AHEAD, FAR_RUN, FAR_RUNS = 96, 56, 14, 6
"""The wide view: places kept behind and before the present one, at each far beginning, and how many of those."""

NEAR_AHEAD = 36
"""The near view, for playing that goes as asked: the present place and so many ahead."""

DRIFT = 20
"""A view is laid anew when the present place has moved this far in it."""

FEW = 24
"""So many states are followed back one by one faster than as an array."""

SAME_RATIO = 0.03
"""Changes of tempo up to here make no difference to what is likely."""

TEMPO_NOTES = 9
TEMPO_NOTES_LEAST = 4
SHORTEST_HELD_S = 0.05
"""What is shorter was no note held on over what should have parted it from the next: no longer than a gracenote."""

SLOWEST_RATIO, FASTEST_RATIO = 12.0, 0.08


class Reading(enum.Enum):
    """How one heard note is read: in its own place, going on after an interruption, or as an extra one."""

    MATCH = "match"
    RESUME = "resume"
    EXTRA = "extra"


@dataclass(frozen=True, slots=True)
class Step:
    """One heard note as it is read. `tokens` are those it stands for (several where a held note ran on over what
    should have parted it), empty for an extra one; `after` is the token last heard before it, -1 before the first.
    `ran_on` are tokens that the last heard note turned out to stand for as well."""

    segment: Segment
    reading: Reading
    tokens: tuple[int, ...]
    after: int
    cost: float
    ran_on: tuple[int, ...] = ()


class Aligner:
    """Reads heard notes one by one; `push` returns the steps settled by each, `finish` the rest.

    While all goes as asked only the near view is searched: whoever begins again pays more there than what is in
    doubt. As soon as something is amiss, the notes not yet settled are read again in the wide view, so that the
    result is the same.
    """

    def __init__(self, asked: Asked) -> None:
        self._tables = Tables(asked)
        self._ratios: deque[float] = deque(maxlen=TEMPO_NOTES)
        self.ratio: float | None = None
        self._last_melody: tuple[int, float] | None = None
        self._unclocked_until_s = float("-inf")
        self._stopped_at = 0
        self._lately, self._lost = 0.0, False
        self._last_note: Note | None = None
        self._no_crossing: Floats | float = 0.0
        self._wide = True
        self._view = View(self._tables, self._all_places(0), 0)
        width = self._view.width
        self._cost, self._clock = np.full((2, width), np.inf), np.zeros((2, width))
        self._cost[MATCH, 0] = 0.0
        nowhere, own = np.full(2 * width, -1), np.arange(2 * width)
        # The last settled column is kept in front, in this state: every reading goes on from there.
        self._columns = deque([Column(None, nowhere, nowhere, own, self._cost, self._clock, self._view)])
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

    def _all_places(self, centre: int) -> Ints:
        """A take, and what is played after a stop, may begin anywhere."""
        return np.arange(self._tables.size)

    def _near_places(self, centre: int) -> Ints:
        return np.arange(centre, min(self._tables.size, centre + NEAR_AHEAD))

    def _move_view(self, places: Ints, centre: int) -> None:
        """Lay the view anew over the last column; places that were not in its own view cannot be reached."""
        column, old = self._columns[-1], self._view
        self._view = View(self._tables, places, centre)
        self._view.set_ratio(self.ratio)
        self._cost = self._view.of(old, self._cost, np.inf)
        self._clock = self._view.of(old, self._clock)
        self._no_crossing = self._not_crossing(self._last_note)
        column.see_from(places)

    def _not_crossing(self, extra: Note | None) -> Floats | float:
        """What that extra note costs more where the note before goes on: then no fingers were crossing."""
        return 0.0 if extra is None else costs.EXTRA_SHORT - self._view.extra[extra]

    def _widen(self, places_about: Callable[[int], Ints]) -> None:
        """Something is amiss: read again, in a wide view, what is not settled."""
        base, *later = self._columns
        self._wide = True
        self._columns = deque([base])
        kin = base.roots == self._settled
        self._view = base.view
        self._cost = np.where(kin.reshape(2, -1), base.cost, np.inf)
        self._clock = base.clock
        self._last_note = None if base.segment is None else base.segment.note
        place = base.token(self._settled) + 1
        self._move_view(places_about(place), place)
        for column in later:
            assert column.segment is not None
            self._append(self._next(column.segment))

    # --- one heard note ---

    def push(self, segment: Segment) -> list[Step]:
        """Read one more heard note."""
        stopped = segment.silence_s >= costs.STOP_S
        if stopped:
            self._unclocked_until_s = segment.onset_s
            self._stopped_at = segment.rank
        self._append(self._next(segment))
        best, doubt = self._best()
        if not self._wide and (stopped or doubt > costs.AMISS):
            self._widen(self._all_places if stopped else self._wide_places)
            best, doubt = self._best()
        state, rank = divmod(best, self._view.width)
        place = int(self._view.places[rank])
        self._lost = self._lately + doubt > costs.LOST
        steps = self._settle(best, doubt)
        self._follow(place, state == MATCH, segment)
        return steps

    def finish(self) -> list[Step]:
        """The take is over: the cheapest reading of what is left."""
        last = len(self._columns) - 1
        if not last:
            return []
        best = int(self._columns[-1].own(np.array([self._cost.argmin()]))[0])
        return self._hand_on(last, best)

    def _best(self) -> tuple[int, float]:
        """The cheapest reading, and what it has cost since the last settled note."""
        best, base = int(self._cost.argmin()), self._columns[0]
        return best, float(self._cost.ravel()[best] - base.cost.ravel()[self._settled])

    def _follow(self, place: int, matched: bool, segment: Segment) -> None:
        """Learn the tempo from one melody note to the next, and keep the present place in view."""
        if matched and self._tables.is_melody[place]:
            self._learn_tempo(place, segment)
            self._last_melody = (place, segment.onset_s)
        if self._lost:
            self._look_everywhere(place)
        elif len(self._columns) == 1:
            if self._wide or place - self._view.centre > DRIFT:
                self._wide = False
                self._move_view(self._near_places(place), place)
        elif self._wide and self._view.width < self._tables.size and abs(place - self._view.centre) > DRIFT:
            self._move_view(self._wide_places(place), place)

    def _look_everywhere(self, place: int) -> None:
        if self._view.width < self._tables.size:
            self._wide = True
            self._move_view(self._all_places(place), place)

    def _learn_tempo(self, place: int, segment: Segment) -> None:
        if self._last_melody is None or segment.silence_s:
            return
        before, onset_s = self._last_melody
        asked_s = self._tables.start_s[place] - self._tables.start_s[before]
        if not (0 < place - before <= costs.SKIP_TOKENS and asked_s > 0.0):
            return
        self._ratios.append((segment.onset_s - onset_s) / asked_s)
        if len(self._ratios) >= TEMPO_NOTES_LEAST:
            ratio = min(max(median(self._ratios), FASTEST_RATIO), SLOWEST_RATIO)
            if self.ratio is None or abs(ratio - self.ratio) > SAME_RATIO * self.ratio:
                self.ratio = ratio
                self._view.set_ratio(ratio)

    def _next(self, segment: Segment) -> Column:
        """One step of the walk: from the present costs to those after one more note."""
        view, width = self._view, self._view.width
        from_extra = self._cost[EXTRA] < self._cost[MATCH]
        leave = np.minimum(self._cost[EXTRA], self._cost[MATCH])
        clock = np.where(from_extra, self._clock[EXTRA], self._clock[MATCH])
        states = view.ranks + width * from_extra
        match, skipped = view.walk(leave, clock, segment.onset_s, self._unclocked_until_s)
        origin = states[np.maximum(view.one_before - skipped, 0)]
        if self._wide:
            cheapest = int(leave.argmin())
            found = view.begin_anywhere() if self._lost else view.begin_anew(cheapest, segment, self._last_note)
            begin = leave[cheapest] + found
            anew = begin < match
            match, origin = np.where(anew, begin, match), np.where(anew, states[cheapest], origin)
        new_clock = np.empty(width)
        new_clock.fill(segment.onset_s)
        # After a stop any note may go on; otherwise only one that something else has interrupted.
        stopped = segment.silence_s > 0.0 or segment.note is self._last_note
        between = self._columns[-1].segment
        stood_still = between is not None and not stopped and between.lasted_s() >= SETTLED_S
        resume = costs.RESUME_AFTER_NOTE if stood_still else costs.RESUME
        interrupted = resume + (leave if stopped else self._cost[EXTRA] + self._no_crossing)
        going_on = (interrupted < match) & view.sounds[segment.note]
        if going_on.any():
            match = np.where(going_on, interrupted, match)
            origin = np.where(going_on, states if stopped else view.ranks + width, origin)
            new_clock = np.where(going_on, clock if stopped else self._clock[EXTRA], new_clock)
        return self._column(segment, match + view.heard_as(segment), leave, (origin, states), (new_clock, clock))

    def _column(
        self, segment: Segment, match: Floats, leave: Floats, origins: tuple[Ints, Ints], clocks: tuple[Floats, Floats]
    ) -> Column:
        """The new present: each note as its place's own, or run on from an equal one, or as an extra one."""
        view, width = self._view, self._view.width
        (origin, states), (new_clock, clock) = origins, clocks
        held = segment.lasted_s() > SHORTEST_HELD_S
        match, origin, new_clock, ran_on_from, roots = view.run_together(match, origin, new_clock, held=held)
        self._no_crossing = self._not_crossing(segment.note)
        self._cost, self._clock = np.empty((2, width)), np.empty((2, width))
        self._cost[MATCH], self._cost[EXTRA] = match, leave + view.heard_as_extra(segment)
        self._clock[MATCH], self._clock[EXTRA] = new_clock, clock
        self._last_note = segment.note
        return Column(segment, np.concatenate([origin, states]), ran_on_from, roots, self._cost, self._clock, view)

    # --- settling ---

    def _settle(self, best: int, doubt: float) -> list[Step]:
        flat = self._cost.ravel()
        margin = min(
            costs.COMMIT_MARGIN + costs.DOUBT_SHARE * max(0.0, doubt - costs.CROSSING), costs.COMMIT_MARGIN_MOST
        )
        if best >= self._view.width:
            margin = costs.COMMIT_MARGIN_MOST  # what an extra note was only shows with what follows it
        if self._lost or self._stopped_lately():
            first = not self._lost and not self._stopped_at
            margin = max(margin, costs.COMMIT_MARGIN_FIRST) if first else costs.COMMIT_MARGIN_STOPPED
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
        """Whether one of the last few notes, not settled yet, was the first of the take, or came after a stop."""
        last = self._columns[-1].segment
        assert last is not None
        return last.rank - self._stopped_at < min(len(self._columns) - 1, costs.NOTES_AFTER_STOP)

    def _append(self, column: Column) -> None:
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
            self._lately += steps[-1].cost
            state = before
        self._settled = settled
        self._lately *= costs.LOST_MEMORY**depth
        for _ in range(depth):
            self._columns.popleft()
        later = [self._columns.pop() for _ in range(len(self._columns) - 1)]
        for column in reversed(later):
            self._append(column)
        return steps[::-1]

    def _forget_others(self, depth: int, state: int) -> None:
        last = len(self._columns) - 1
        came_from = self._columns[last].own(self._view.states)
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
        if state >= column.view.width:
            return Step(column.segment, Reading.EXTRA, (), after, cost, ran_on)
        tokens = tuple(column.token(each) for each in column.chain(state))
        reading = Reading.RESUME if tokens[0] == after else Reading.MATCH
        return Step(column.segment, reading, tokens, after, cost, ran_on)
