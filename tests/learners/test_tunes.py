"""The tunes that are made up for simulated learners."""

from __future__ import annotations

from itertools import pairwise

import pytest

from companion.score.performance import performance
from tests.learners.tunes import make_tune


@pytest.mark.parametrize("draw", range(8))
def test_something_parts_equal_notes(draw: int) -> None:
    """Nothing else can on a pipe, whose sound never stops (common practice, no source)."""
    notes = [each.note for each in performance(make_tune(draw))]
    assert all(one.note is not two.note or two.gracenotes for one, two in pairwise(notes))
