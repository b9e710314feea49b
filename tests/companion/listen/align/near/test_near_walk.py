"""The near walk reads as the wide one does, as long as nothing is amiss; and one hands over to the other."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.listen.align.cost import costs
from companion.listen.align.cost.tables import Tables
from companion.listen.align.near.near_tables import NearTables
from companion.listen.align.near.near_walk import NearWalk
from companion.listen.align.reading.paths import Foothold, before_the_first
from companion.listen.align.reading.played_tempo import PlayedTempo, tempo_after
from companion.listen.align.reading.search import Search
from companion.listen.align.reading.steps import ReadStep
from companion.listen.align.wide.scope import Scope
from companion.listen.align.wide.wide_walk import WideWalk
from companion.listen.model.asked import ask
from companion.listen.model.segments import Segment, Segmenter
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from fingering.notes import Note
from tests.companion.listen.playing import asked_of
from tests.learners.learner import Learner
from tests.learners.player import simulate
from tests.learners.tunes import make_tune

pytestmark = pytest.mark.same_everywhere

HELD_ON = Tables(asked_of("B2A2{g}A2{g}A2 {g}c4{g}d4|"))
"""Place 2 is low A, and so are places 4 and 6, each parted from the one before by a gracenote."""


def rounded(steps: list[ReadStep]) -> list[ReadStep]:
    """With costs that sums in another order leave as they are."""
    return [step._replace(cost=round(step.cost, 9)) for step in steps]


@pytest.mark.parametrize("draw", range(12))
def test_while_nothing_is_amiss_the_near_walk_reads_as_the_wide_one(draw: int) -> None:
    """Note for note: which reading leads, by how much, and what is settled.

    The near walk is begun anew wherever all is settled. Up to AMISS and the margin beginning again costs too much.
    """
    asked = ask(build_schedule(make_tune(draw), Timing()))
    tables, segmenter, compared = Tables(asked), Segmenter(), 0
    near_tables, near = NearTables(tables), None
    wide = WideWalk(tables, before_the_first(), Scope.EVERYWHERE, None)
    take = simulate(make_tune(draw), Learner(50.0 + 5.0 * draw, faults=0.1), draw).notes
    segments = [segment for event in take for segment in segmenter.feed(event)] + segmenter.finish()
    tempo, search = PlayedTempo(), Search()
    for segment in segments[:-1]:
        wide.read(segment, search)
        leading = wide.leading()
        if near is not None:
            near.read(segment, search)
        if near is not None and near.leading().doubt <= costs.AMISS and not segment.silence_s:
            assert near.leading() == (leading.place, leading.is_extra, pytest.approx(leading.doubt))
            steps = wide.settle(costs.COMMIT_MARGIN)
            assert rounded(near.settle(costs.COMMIT_MARGIN)) == rounded(steps)
            compared += len(steps)
        else:
            near = None
            wide.settle(costs.COMMIT_MARGIN)
        if near is None and not wide.last:
            near = NearWalk(near_tables, wide.foothold)
        if not leading.is_extra and tables.is_melody[leading.place]:
            tempo = tempo_after(tempo, tables, leading.place, segment)
            search = replace(search, ratio=tempo.ratio)
    assert compared > len(segments) / 3


def on_low_a(walk: WideWalk | NearWalk) -> Foothold:
    """The foothold once the first B and A are read, and settled."""
    search = Search()
    for rank, (note, lasts_s) in enumerate(((Note.B, 1.0), (Note.LOW_A, 1.0))):
        walk.read(Segment(rank, note, 1.0 + rank, 0.0, 1.0 + rank + lasts_s), search)
        walk.settle(costs.AMISS)
    assert not walk.last
    return walk.foothold


def wide_walk() -> WideWalk:
    """One from before the first note."""
    return WideWalk(HELD_ON, before_the_first(), Scope.EVERYWHERE, None)


def test_a_settled_note_may_yet_have_run_on() -> None:
    """What it may have run on to is handed over with it, each linked to the one before, by either walk."""
    for walk in (wide_walk(), NearWalk(NearTables(HELD_ON), before_the_first())):
        kin = on_low_a(walk).kin
        assert [node.place for node in kin] == [2, 4, 6]
        assert [node.ran_on_from for node in kin] == [None, *kin[:-1]]
        assert [node.origin for node in kin] == [None, None, None]


def test_a_foothold_is_the_same_after_it_was_handed_over() -> None:
    """From the wide walk to the near one and back."""
    first = on_low_a(wide_walk())
    near = NearWalk(NearTables(HELD_ON), first)
    again = WideWalk(HELD_ON, near.foothold, Scope.WIDE, 1.0).foothold
    for one, other in zip(first.kin, again.kin, strict=True):
        assert (one.place, one.is_extra, one.cost, one.clock) == (other.place, other.is_extra, other.cost, other.clock)


def test_what_is_not_settled_can_be_read_again() -> None:
    """The near walk keeps those notes: here C where a gracenote and A are asked for may be wrong, or an extra one."""
    near = NearWalk(NearTables(HELD_ON), on_low_a(wide_walk()))
    segment = Segment(2, Note.C, 3.0, 0.0, 4.0)
    near.read(segment, Search())
    near.settle(costs.COMMIT_MARGIN_MOST)
    assert near.unsettled() == [segment]
