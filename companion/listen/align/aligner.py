"""The alignment: the cheapest reading of what was heard as a walk through what was asked, found as the notes come.

It is Viterbi's algorithm over places of the tune (see `tables.Tables`). After each heard note there are two states
for each place: the note was that place's own, or an extra one after it. A reading is settled, and handed on, once all
others cost clearly more; live and from a file it is the same walk, note by note.

While all goes as asked only the few likely readings are followed (`near_walk`): whoever begins again pays more there
than what is in doubt. As soon as something is amiss, the notes not yet settled are read again in a wide window
(`wide_walk`), so that the result is the same; once all is settled the walk is near again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from companion.listen.align.cost import costs
from companion.listen.align.cost.tables import Tables
from companion.listen.align.near.near_tables import NearTables
from companion.listen.align.near.near_walk import NearWalk
from companion.listen.align.reading.paths import before_the_first
from companion.listen.align.reading.played_tempo import PlayedTempo, tempo_after
from companion.listen.align.reading.search import Leading, Search
from companion.listen.align.reading.steps import Reading, ReadStep
from companion.listen.align.wide.history import HeardInPlace
from companion.listen.align.wide.scope import Scope
from companion.listen.align.wide.wide_walk import WideWalk
from companion.listen.model.asked import Asked
from companion.listen.model.segments import Segment


class Aligner:
    """Reads heard notes one by one; `push` returns the steps settled by each, `finish` the rest."""

    def __init__(self, asked: Asked, leaves_out: float = 0.0, longest_doubt: int = costs.LONGEST_DOUBT) -> None:
        """leaves_out: the share of gracenotes that the player leaves out, as far as that is known. longest_doubt: the
        notes after which the cheapest reading is taken."""
        self._tables = Tables(asked, leaves_out)
        self._near_tables = NearTables(self._tables)
        self._goes_on: list[bool] = self._tables.goes_on.tolist()
        self._walk: NearWalk | WideWalk = WideWalk(self._tables, before_the_first(), Scope.EVERYWHERE, None)
        self._longest_doubt = longest_doubt
        self._search = Search()
        self._tempo = PlayedTempo()
        self._stopped_at = 0
        self._lately = 0.0

    def push(self, segment: Segment) -> list[ReadStep]:
        """Read one more heard note; returns the steps that are settled now."""
        stopped = segment.silence_s >= costs.STOP_S
        if stopped:
            self._search = replace(self._search, unclocked_until_s=segment.onset_s)
            self._stopped_at = segment.rank
        leading = self._read(segment, stopped=stopped)
        lost = self._lately + leading.doubt > costs.LOST
        if lost is not self._search.lost:
            self._search = replace(self._search, lost=lost)
        steps = self._settle(leading, segment)
        self._lately += sum(step.cost - self._of_gracenotes(step) for step in reversed(steps))
        self._lately *= costs.LOST_MEMORY ** len(steps)
        self._follow(leading, segment)
        return steps

    def finish(self) -> list[ReadStep]:
        """Return the cheapest reading of what is left at the end of the take."""
        return self._walk.finish()

    def likely_readings(self) -> Iterator[list[HeardInPlace]]:
        """Yield likely readings of the notes that are not settled yet, the cheapest first; none while all goes as
        asked. The notes that follow may show that it was another."""
        return self._walk.likely() if isinstance(self._walk, WideWalk) else iter(())

    def _read(self, segment: Segment, *, stopped: bool) -> Leading:
        """Read one more note, in a wide window where something is amiss; returns the cheapest reading."""
        walk = self._walk
        if stopped and isinstance(walk, NearWalk):
            walk = self._widened(walk, Scope.EVERYWHERE)
        walk.read(segment, self._search)
        leading = walk.leading()
        if isinstance(walk, NearWalk) and leading.doubt > costs.AMISS:
            walk = self._widened(walk, Scope.WIDE)
            leading = walk.leading()
        self._walk = walk
        return leading

    def _widened(self, walk: NearWalk, scope: Scope) -> WideWalk:
        """Read what is not settled again in a wider window, from the last settled note on."""
        wide = WideWalk(self._tables, walk.foothold, scope, self._search.ratio)
        for segment in walk.unsettled():
            wide.read(segment, self._search)
        return wide

    def _of_gracenotes(self, step: ReadStep) -> float:
        """Return what of a step's cost is that gracenotes were left out, which says nothing of where a learner is."""
        if step.cost < costs.MISSING_FURTHER_GRACENOTE:
            return 0.0
        left_out = sum(float(self._tables.run_on[token + 1]) for token in step.ran_on)
        skipped = step.tokens[0] - step.after - 1 if step.reading is Reading.MATCH else 0
        if 0 < skipped < costs.SKIP_TOKENS:
            reached = step.tokens[0] + 1
            if not any(self._near_tables.is_melody[reached - skipped : reached]):
                left_out += float(self._tables.skip[skipped, reached])
        return min(left_out, step.cost)

    def _settle(self, leading: Leading, segment: Segment) -> list[ReadStep]:
        """Settle the notes about which there is no doubt any more."""
        margin = self._margin(leading, segment)
        if not self._goes_on[leading.place]:
            return self._walk.settle(margin, self._longest_doubt)
        # It may be a note begun again, which the near walk does not follow.
        near = isinstance(self._walk, NearWalk) and self._walk.last < self._longest_doubt
        margin = max(margin, costs.NOTE_AGAIN + costs.COMMIT_MARGIN)
        return [] if near else self._walk.settle(margin, self._longest_doubt)

    def _margin(self, leading: Leading, segment: Segment) -> float:
        """Return how much more than the best a reading may cost and still count as one that may be right."""
        if self._search.lost:
            return costs.COMMIT_MARGIN_STOPPED
        margin = _usual_margin(leading)
        if not self._stopped_lately(segment):
            return margin
        return costs.COMMIT_MARGIN_STOPPED if self._stopped_at else max(margin, costs.COMMIT_MARGIN_FIRST)

    def _stopped_lately(self, segment: Segment) -> bool:
        """Return whether one of the last few notes, not settled yet, was the first of the take, or followed a stop."""
        return segment.rank - self._stopped_at < min(self._walk.last, costs.NOTES_AFTER_STOP)

    def _follow(self, leading: Leading, segment: Segment) -> None:
        """Learn the tempo from one melody note to the next, and keep the present place in view."""
        if not leading.is_extra and self._near_tables.is_melody[leading.place]:
            self._tempo = tempo_after(self._tempo, self._tables, leading.place, segment)
            if self._tempo.ratio != self._search.ratio:
                self._search = replace(self._search, ratio=self._tempo.ratio)
        walk, lost = self._walk, self._search.lost
        if isinstance(walk, WideWalk):
            if not walk.last and not lost:
                self._walk = NearWalk(self._near_tables, walk.foothold)
            else:
                walk.follow(leading.place, self._search.ratio, lost=lost)
        elif lost:
            self._walk = self._widened(walk, Scope.EVERYWHERE)


def _usual_margin(leading: Leading) -> float:
    """Return the margin where the learner has not stopped lately: wider the more the best reading itself costs."""
    if leading.is_extra:
        return costs.COMMIT_MARGIN_MOST  # what an extra note was only shows with what follows it
    in_doubt = costs.DOUBT_SHARE * max(0.0, leading.doubt - costs.CROSSING)
    return min(costs.COMMIT_MARGIN + in_doubt, costs.COMMIT_MARGIN_MOST)
