"""Which parts of runs of F and high G are measured."""

from __future__ import annotations

import numpy as np
import pytest

from companion.hearing.notes.kept_samples import KeptSamples
from companion.hearing.notes.runs.near_runs import LONGEST_S, REACH_S, STEP_FRAMES, NearRun, RunMeter
from companion.hearing.path import HeardStretch
from fingering.notes import Note
from tests.companion.hearing.notes.runs.near_sound import chanter

pytestmark = pytest.mark.same_everywhere

CHANTER = chanter()
HOP_S = CHANTER.grid.hop_s
REACH = round(REACH_S / HOP_S)


def measured(*lengths_s: float) -> list[NearRun]:
    """The runs of F and high G by turns, F first, each for so long, from frame 100."""
    kept = KeptSamples(CHANTER.grid)
    kept.take_in(np.ones(round((sum(lengths_s) + 1.0) / HOP_S) * CHANTER.grid.hop, np.float32))
    meter, first = RunMeter(CHANTER, kept), 100
    for rank, each in enumerate(lengths_s):
        stop = first + round(each / HOP_S)
        meter.go_on(HeardStretch(Note.HIGH_G if rank % 2 else Note.F, first, stop))
        first = stop
    before = meter.found
    meter.end()
    assert [each.first for each in before] == [each.first for each in meter.found]
    return meter.found


def test_a_short_run_is_measured_whole() -> None:
    """From its first frame to its last."""
    (run,) = measured(0.2, 0.04, 0.3)
    assert (run.begins, run.first, run.stop) == (100, 100, 100 + round(0.54 / HOP_S))


def test_a_gracenote_alone_is_not_measured_and_a_melody_note_is_as_it_begins() -> None:
    """Nothing is asked of the one; what hides in the other is near its beginning."""
    assert measured(0.05) == []
    (run,) = measured(1.0)
    assert (run.first, run.stop) == (100, 100 + REACH)


def test_of_long_notes_what_lies_beside_changes_is_measured() -> None:
    """The middle of each is left out."""
    head, change, tail = measured(1.0, 1.0, 0.3)
    begun = 100 + round(1.0 / HOP_S)
    assert (head.first, head.stop) == (100, 100 + REACH)
    assert (change.begins, change.first, change.stop) == (100, begun - REACH, begun + REACH)
    assert (tail.begins, tail.stop) == (begun, begun + round(1.3 / HOP_S))


def test_a_long_run_of_short_notes_comes_in_pieces() -> None:
    """None of which is much longer than LONGEST_S, and nothing is lost between them."""
    runs = measured(*[0.2] * 30)
    assert len(runs) > 1
    assert all(len(each.levels) * STEP_FRAMES * HOP_S < LONGEST_S + 0.3 for each in runs)
    assert [each.first for each in runs[1:]] == [each.stop for each in runs[:-1]]
