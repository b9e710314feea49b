"""The alignment: the cheapest reading of what was heard as a walk through what was asked, found as the notes come.

It is Viterbi's algorithm over places of the tune (see `tables.Tables`). After each heard note there are two states
for each place: the note was that place's own, or an extra one after it (`front`). A reading is settled, and handed on,
once all others cost clearly more (`history`); live and from a file it is the same walk, note by note.

While all goes as asked only a near window is searched: whoever begins again pays more there than what is in doubt. As
soon as something is amiss, the notes not yet settled are read again in a wide window, so that the result is the same
(`scope`).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from companion.listen.align import costs
from companion.listen.align.front import MATCH, Search, advance, first_column, front_of
from companion.listen.align.history import agreeing, appended, history_from, settle_from, settled_to
from companion.listen.align.played_tempo import PlayedTempo, tempo_after
from companion.listen.align.scope import Scope, next_scope, places_in
from companion.listen.align.search_window import SearchWindow
from companion.listen.align.steps import Step
from companion.listen.align.tables import Tables
from companion.listen.model.asked import Asked
from companion.listen.model.segments import Segment


class Aligner:
    """Reads heard notes one by one; `push` returns the steps settled by each, `finish` the rest."""

    def __init__(self, asked: Asked) -> None:
        self._tables = Tables(asked)
        column = first_column(self._tables)
        self._front = front_of(column)
        self._history = history_from(column, 0)
        self._search = Search()
        self._tempo = PlayedTempo()
        self._stopped_at = 0
        self._lately = 0.0

    def push(self, segment: Segment) -> list[Step]:
        """Read one more heard note; returns the steps that are settled now."""
        stopped = segment.silence_s >= costs.STOP_S
        if stopped:
            self._search = replace(self._search, unclocked_until_s=segment.onset_s)
            self._stopped_at = segment.rank
        self._read(segment)
        best, doubt = self._best()
        if not self._search.wide and (stopped or doubt > costs.AMISS):
            self._read_again(Scope.EVERYWHERE if stopped else Scope.WIDE)
            best, doubt = self._best()
        lost = self._lately + doubt > costs.LOST
        if lost is not self._search.lost:
            self._search = replace(self._search, lost=lost)
        state, rank = divmod(best, self._front.window.width)
        steps = self._settle(best, doubt)
        self._follow(int(self._front.window.places[rank]), segment, matched=state == MATCH)
        return steps

    def finish(self) -> list[Step]:
        """Return the cheapest reading of what is left at the end of the take."""
        if not self._history.last:
            return []
        assert self._front.segment is not None
        cost = self._front.cost + self._front.window.ended_on(self._front.segment)
        best = int(self._front.own_states(np.array([cost.argmin()]))[0])
        self._history, steps = settled_to(self._history, self._history.last, best)
        return steps

    def _read(self, segment: Segment) -> None:
        column = advance(self._front, segment, self._search)
        self._front, self._history = front_of(column), appended(self._history, column)

    def _read_again(self, scope: Scope) -> None:
        """Read what is not settled again in a wider window, from the last settled note on."""
        base, *later = self._history.columns
        settled = self._history.settled
        kin = (base.roots == settled).reshape(2, -1)
        self._search = replace(self._search, wide=True)
        self._history = history_from(base, settled)
        self._front = front_of(base).with_cost(np.where(kin, base.cost, np.inf))
        self._lay_window(scope, base.token(settled) + 1)
        for column in later:
            assert column.segment is not None
            self._read(column.segment)

    def _best(self) -> tuple[int, float]:
        """Return the cheapest state of the front, and what its reading has cost since the last settled note."""
        best = int(self._front.cost.argmin())
        return best, float(self._front.cost.ravel()[best] - self._history.settled_cost)

    # --- settling ---

    def _settle(self, best: int, doubt: float) -> list[Step]:
        """Settle the notes on which all readings agree that may still be right; drop every reading that disagrees with
        them."""
        history, cost = self._history, self._front.cost
        found = settle_from(history, cost, best, self._margin(best, doubt))
        if found is None:
            return []
        agrees = agreeing(history, self._front.window.states, *found)
        self._front = self._front.with_cost(np.where(agrees.reshape(2, -1), cost, np.inf))
        self._history, steps = settled_to(history, *found)
        for step in reversed(steps):
            self._lately += step.cost
        self._lately *= costs.LOST_MEMORY ** len(steps)
        return steps

    def _margin(self, best: int, doubt: float) -> float:
        """Return how much more than the best a reading may cost and still count as one that may be right."""
        margin = min(
            costs.COMMIT_MARGIN + costs.DOUBT_SHARE * max(0.0, doubt - costs.CROSSING), costs.COMMIT_MARGIN_MOST
        )
        if best >= self._front.window.width:
            margin = costs.COMMIT_MARGIN_MOST  # what an extra note was only shows with what follows it
        if self._search.lost:
            return costs.COMMIT_MARGIN_STOPPED
        if not self._stopped_lately():
            return margin
        return costs.COMMIT_MARGIN_STOPPED if self._stopped_at else max(margin, costs.COMMIT_MARGIN_FIRST)

    def _stopped_lately(self) -> bool:
        """Return whether one of the last few notes, not settled yet, was the first of the take, or followed a stop."""
        assert self._front.segment is not None
        return self._front.segment.rank - self._stopped_at < min(self._history.last, costs.NOTES_AFTER_STOP)

    # --- the window ---

    def _follow(self, place: int, segment: Segment, *, matched: bool) -> None:
        """Learn the tempo from one melody note to the next, and keep the present place in view."""
        if matched and self._tables.is_melody[place]:
            self._learn_tempo(place, segment)
        search = self._search
        scope = next_scope(
            self._tables,
            self._front.window,
            place,
            wide=search.wide,
            lost=search.lost,
            settled=not self._history.last,
        )
        if scope is not None:
            self._search = replace(search, wide=scope is not Scope.NEAR)
            self._lay_window(scope, place)

    def _learn_tempo(self, place: int, segment: Segment) -> None:
        ratio = self._tempo.ratio
        self._tempo = tempo_after(self._tempo, self._tables, place, segment)
        if self._tempo.ratio is not None and self._tempo.ratio != ratio:
            window = self._front.window.with_ratio(self._tempo.ratio)
            self._front = replace(self._front, window=window)

    def _lay_window(self, scope: Scope, place: int) -> None:
        window = SearchWindow(self._tables, places_in(self._tables, scope, place), place, self._tempo.ratio)
        self._front = self._front.seen_through(window)
