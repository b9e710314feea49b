"""Lines end between phrases, are as few as can be, and of those as even as can be."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.score.engrave.line_breaks import BarWidths, line_starts
from companion.score.model import Part, Phrase, Tune
from tests.companion.tune_building import notes, tune

pytestmark = pytest.mark.same_everywhere


def phrased(*phrases: int) -> Tune:
    """A tune of one part with phrases of so many bars."""
    bars = sum(phrases)
    built = tune(*[notes("A B")] * bars)
    cuts, at = [], 0
    for length in phrases:
        cuts.append(Phrase(at, at + length, "a"))
        at += length
    return Tune("1", "T", built.meter, built.bars, built.order, (Part("A", 0, bars, tuple(cuts)),), built.place)


def test_two_phrases_on_a_line() -> None:
    """Four phrases of which two fit on a line make two lines."""
    assert line_starts(phrased(2, 2, 2, 2), BarWidths((10.0,) * 8, 5.0), 45.0) == (0, 4)


def test_lines_are_even() -> None:
    """Where three of four phrases would fit, two lines of two are better than three and one."""
    assert line_starts(phrased(2, 2, 2, 2), BarWidths((10.0,) * 8, 5.0), 65.0) == (0, 4)


def test_a_phrase_wider_than_a_line_is_cut_at_a_bar() -> None:
    """A phrase of four bars of which three fit is cut between bars."""
    assert line_starts(phrased(4), BarWidths((10.0,) * 4, 5.0), 36.0) == (0, 2)


@given(st.lists(st.integers(1, 4), min_size=1, max_size=8), st.data())
def test_no_line_is_too_wide(phrases: list[int], data: st.DataObject) -> None:
    """No line is wider than there is room, but for a single bar that is; the lines are in order."""
    bars = sum(phrases)
    widths = BarWidths(tuple(data.draw(st.lists(st.floats(1, 30), min_size=bars, max_size=bars))), 5.0)
    room = data.draw(st.floats(20, 100))
    starts = line_starts(phrased(*phrases), widths, room)
    assert starts[0] == 0
    assert list(starts) == sorted(set(starts))
    for first, stop in pairwise([*starts, bars]):
        assert stop - first == 1 or widths.of(first, stop) <= room + 1e-9
