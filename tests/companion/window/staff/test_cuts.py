"""Which bars stand together on a line, and in which order lines come."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.commands.shared.tune_list import bundled_tunes
from companion.schedule.build import build_schedule
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.score.model import Tune
from companion.window.staff.cuts import StaffCut, fits, staff_cuts
from companion.window.staff.passes import pass_at, staff_passes, together

pytestmark = pytest.mark.same_everywhere

TUNES = bundled_tunes()
WIDE, NARROW = 151.0, 90.0
"""Rooms in spaces: that of a line at 1280x720, where two phrases of our tunes stand, and one for one of them."""

HEAD = "X:1\nT:Ours\nM:4/4\nL:1/8\nK:HP\n"
BAR = "{gef}e2 {g}c2 {Gdc}d2 {g}A2|"
ENDED = f"{HEAD}A2|:{BAR * 3}1 {BAR[:-1]}:|2 {BAR[:-1]}|]\n"


def cut(*bars: tuple[int, int]) -> tuple[StaffCut, ...]:
    """Lines."""
    return tuple(StaffCut(*each) for each in bars)


def played(text: str) -> tuple[Tune, Schedule]:
    """A tune and its schedule."""
    tune = read_abc_text(text).tunes[0]
    return tune, build_schedule(tune, Timing())


def test_two_phrases_stand_on_a_line_as_in_print() -> None:
    """Each part begins one, a pick-up belongs to the phrase that it leads into."""
    assert staff_cuts(TUNES[0], WIDE, 2) == cut((0, 5), (5, 9), (9, 14), (14, 18))


def test_in_a_narrow_room_and_in_big_print_it_is_one() -> None:
    """All lines of a part hold as many phrases."""
    phrases = cut((0, 3), (3, 5), (5, 7), (7, 9), (9, 12), (12, 14), (14, 16), (16, 18))
    assert staff_cuts(TUNES[0], NARROW, 2) == phrases
    assert staff_cuts(TUNES[0], WIDE, 1) == phrases


def test_a_phrase_that_has_no_room_is_cut_at_bars() -> None:
    """Into about equal lines."""
    assert staff_cuts(TUNES[0], 50.0, 2)[:3] == cut((0, 2), (2, 3), (3, 4))


@given(st.sampled_from(TUNES), st.floats(5.0, 400.0), st.sampled_from([1, 2]))
def test_lines_hold_all_bars_once_and_in_order(tune: Tune, room: float, most: int) -> None:
    """Whatever the room; only single bars are wider than it."""
    cuts = staff_cuts(tune, room, most)
    assert [bar for each in cuts for bar in range(each.first, each.stop)] == list(range(len(tune.bars)))
    assert all(fits(tune, each, room) or each.stop - each.first == 1 for each in cuts)


def test_a_part_that_is_repeated_comes_to_its_lines_twice() -> None:
    """In the order of playing, a part of two lines: 1 2 1 2."""
    tune = TUNES[0]
    schedule = build_schedule(tune, Timing())
    passes = staff_passes(tune, schedule, staff_cuts(tune, WIDE, 2))
    assert [each.cut for each in passes] == [*cut((0, 5), (5, 9)) * 2, *cut((9, 14), (14, 18)) * 2]


def test_one_line_that_is_repeated_is_gone_through_twice() -> None:
    """Though it stays where it is; an ending that is left out parts nothing."""
    tune, schedule = played(ENDED)
    passes = staff_passes(tune, schedule, cut((0, 6)))
    assert len(passes) == 2
    numbers = [[schedule.played[place].bar.number for place in range(each.first, each.stop)] for each in passes]
    assert [list(dict.fromkeys(each)) for each in numbers] == [[0, 1, 2, 3, 4], [1, 2, 3, 5]]


@given(st.sampled_from(TUNES), st.floats(30.0, 200.0))
def test_every_played_note_is_on_one_line(tune: Tune, room: float) -> None:
    """That which holds its bar; passes follow one another without a gap."""
    schedule = build_schedule(tune, Timing())
    passes = staff_passes(tune, schedule, staff_cuts(tune, room, 2))
    assert passes[0].first == 0
    assert passes[-1].stop == len(schedule.played)
    assert all(one.stop == other.first for one, other in pairwise(passes))
    for place, each in enumerate(schedule.played):
        once = passes[pass_at(passes, place)]
        assert once.first <= place < once.stop
        assert each.bar in tune.bars[once.cut.first : once.cut.stop]


def test_a_stretch_over_the_end_of_a_line_has_one_of_its_own() -> None:
    """From its first bar to its last; one within a line, or that goes back, has none."""
    tune = TUNES[0]
    schedule = build_schedule(tune, Timing())
    passes = staff_passes(tune, schedule, staff_cuts(tune, WIDE, 2))
    end = passes[0].stop
    across = together(tune, schedule, passes, range(end - 3, end + 3))
    assert across is not None
    assert (across.cut, across.first, across.stop) == (StaffCut(4, 6), end - 3, end + 3)
    assert together(tune, schedule, passes, range(2, 6)) is None
    assert together(tune, schedule, passes, range(passes[1].stop - 2, passes[1].stop + 2)) is None
