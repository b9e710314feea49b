"""A tune line by line, and stretches of it alone: nothing is missing, nothing is wider than its room."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.score.abc import read_abc_text
from companion.score.engrave.line_breaks import BarWidths, cut_evenly
from companion.score.engrave.lines import OVERHANG, LineOnPaper, engrave_excerpts, engrave_lines
from companion.score.engrave.pages import bar_widths, engrave
from companion.score.engrave.style import StaffStyle, TitlePlace
from companion.score.model import Tune
from tests.companion.score.engrave.drawing import Drawing
from tests.companion.score.engrave.test_pages import assert_all_there
from tests.companion.score.generated import tunes

pytestmark = pytest.mark.same_everywhere
BARE = StaffStyle(title=TitlePlace.NONE)
ROOM = 1300
EIGHT_BARS = "X:1\nM:4/4\nL:1/8\nK:HP\n" + "{gcd}c2{e}A2{gef}e2{g}f2|" * 8 + "\n"


def eight_bars() -> Tune:
    """A tune of eight bars that are alike."""
    return read_abc_text(EIGHT_BARS).tunes[0]


def ids(line: LineOnPaper) -> list[str]:
    """The ids of the bars on a line."""
    return Drawing([line.svg]).ids("measure", "b")


@given(tunes())
@settings(max_examples=8, deadline=None)
def test_nothing_of_any_tune_is_missing_on_its_lines(abc: str) -> None:
    """Each bar, note, gracenote, repeat and ending is drawn, on the line that says so."""
    tune = read_abc_text(abc).tunes[0]
    lines = engrave_lines(tune, BARE, bar_widths(tune, BARE), ROOM, 0.84)
    assert_all_there(tune, Drawing([line.svg for line in lines]))
    assert [ids(line) for line in lines] == [[f"b{index}" for index in line.bars] for line in lines]


def test_lines_of_one_size_are_alike_on_paper() -> None:
    """A line is as wide as its room with what hangs over; the larger the staff, the more lines, and the higher."""
    tune = eight_bars()
    small, large = (engrave_lines(tune, BARE, bar_widths(tune, BARE), ROOM, size) for size in (0.7, 1.0))
    assert all(line.width == pytest.approx(ROOM + OVERHANG, abs=15) for line in (*small, *large))
    assert len(small) < len(large)
    assert small[0].height / 0.7 == pytest.approx(large[0].height, rel=0.05)


def test_excerpts_are_as_wide_as_their_music() -> None:
    """One bar is narrower than two; each has a line of its own, whatever comes before."""
    tune = eight_bars()
    stretches = [range(2, 3), range(4, 6), range(1)]
    excerpts = engrave_excerpts(tune, BARE, bar_widths(tune, BARE), ROOM, 1.0, stretches)
    assert [[ids(line) for line in lines] for lines in excerpts] == [[["b2"]], [["b4", "b5"]], [["b0"]]]
    (one,), (two,), _ = excerpts
    assert one.width < two.width < ROOM


def test_an_excerpt_wider_than_its_room_has_several_lines() -> None:
    """As few as can be, and none of them wider than the room."""
    tune = eight_bars()
    (lines,) = engrave_excerpts(tune, BARE, bar_widths(tune, BARE), 700, 1.0, [range(6)])
    assert len(lines) > 1
    assert [name for line in lines for name in ids(line)] == [f"b{index}" for index in range(6)]
    assert all(line.width <= 700 + OVERHANG + 15 for line in lines)


@given(st.integers(0, 5), st.lists(st.floats(1, 30), min_size=6, max_size=12), st.floats(40, 120))
def test_a_stretch_is_cut_as_seldom_as_can_be(first: int, bars: list[float], room: float) -> None:
    """Filling each line before the next is begun never takes fewer lines."""
    widths = BarWidths(tuple(bars), 5.0)
    starts = cut_evenly(range(first, len(bars)), widths, room)
    greedy, begin = 1, first
    for index in range(first, len(bars)):
        if widths.of(begin, index + 1) > room:
            greedy, begin = greedy + 1, index
    assert starts[0] == first
    assert len(starts) == greedy


def test_the_words_of_the_engraver_are_in_our_serif() -> None:
    """As a reader without it shows another serif, it is followed by one."""
    tune = eight_bars()
    for svg in (*engrave(tune).pages, engrave_lines(tune, BARE, bar_widths(tune, BARE), ROOM, 1.0)[0].svg):
        assert 'font-family="Source Serif Pro, Times, serif"' in svg
        assert '"Times, serif"' not in svg
