"""A tune that was written anew: which bars changed, and where a moment of before is in it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.schedule.build import build_schedule
from companion.schedule.rewritten.matching import MOST_COMPARED, BarChanges, changes, matches, turns_now
from companion.schedule.rewritten.moments import MovedMoments
from companion.schedule.spans import Span, moment
from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.score.model import Tune

pytestmark = pytest.mark.same_everywhere

HEAD = "X:1\nT:Nets\nM:2/4\nL:1/8\nQ:1/4=60\nK:HP\n"
BEFORE = "A2 c2|e2 {g}c2|{gef}e2 c2|B2 A2|"
BAR_S = 2.0
"""A bar of two crotchets at 60 a minute."""


def tune(music: str, head: str = HEAD) -> Tune:
    """A tune of bars of two crotchets."""
    return read_abc_text(f"{head}{music}\n").tunes[0]


def moved(before: str, after: str, slow_down: float = 1.0, head: str = HEAD) -> MovedMoments:
    """From the moments of one tune to those of the other."""
    old, new, timing = tune(before), tune(after, head), Timing(slow_down=slow_down)
    return MovedMoments.between(old, build_schedule(old, timing), new, build_schedule(new, timing))


def ends_of(span: Span | None) -> tuple[float, float]:
    """Where a stretch that is there begins and ends."""
    assert span is not None
    return span.start_s, span.end_s


@pytest.mark.parametrize(
    ("after", "found"),
    [
        (BEFORE, BarChanges()),
        ("A2 c2|e2 {g}c2|\n{gef}e2   c2|B2 A2|", BarChanges()),
        ("A2 c2|e2 {d}c2|{gef}e2 c2|B2 A2|", BarChanges(changed=(2,))),
        ("A2 c2|e2 {g}c2|{gef}e2 c2|B2 B2|", BarChanges(changed=(4,))),
        ("f2 f2|A2 c2|e2 {g}c2|{gef}e2 c2|B2 A2|", BarChanges(new=(1,))),
        ("A2 c2|e2 {g}c2|B2 A2|", BarChanges(gone=(3,))),
        ("A2 c2|f2 f2|g2 f2|e4|B2 A2|", BarChanges(changed=(2, 3), new=(4,))),
        ("A2 c2|f2 f2|B2 A2|", BarChanges(changed=(2,), gone=(3,))),
    ],
)
def test_the_bars_that_changed_are_found(after: str, found: BarChanges) -> None:
    """By what is written in them; where they stand in the file, and how they are numbered, is no change."""
    assert changes(tune(BEFORE), tune(after)) == found


def test_a_bar_keeps_its_turn_where_bars_came_before_it() -> None:
    """Or went; and the turn of one that is gone is that of what is played next."""
    grown = turns_now(tune(BEFORE), tune(f"f2 f2|{BEFORE}"))
    assert [(each.turn, each.stays) for each in grown] == [(1, True), (2, True), (3, True), (4, True)]
    shrunk = turns_now(tune(BEFORE), tune("A2 c2|{gef}e2 c2|B2 A2|"))
    assert [(each.turn, each.stays) for each in shrunk] == [(0, True), (1, False), (1, True), (2, True)]


def test_a_repeat_that_is_added_or_taken_out_keeps_the_time_through() -> None:
    """The bars after it are found after it."""
    once, twice = "A2 c2|e2 c2|B2 B2|", "|:A2 c2|e2 c2:|B2 B2|"
    assert turns_now(tune(once), tune(twice))[2].turn == 4
    assert turns_now(tune(twice), tune(once))[4].turn == 2


def test_a_moment_stays_at_its_place_in_the_bar() -> None:
    """Also in one that changed; after a bar that is new it comes a bar later; slowed down alike."""
    for slow_down in (1.0, 4.0):
        again = moved(BEFORE, "f2 f2|A2 c2|e2 {d}c2|{gef}e2 c2|B2 A2|", slow_down)
        for at_s in (0.3, 2.5, 5.1, 7.9):
            assert again.moment(at_s * slow_down) == pytest.approx((at_s + BAR_S) * slow_down)


def test_a_moment_at_a_movement_is_exactly_that_movement() -> None:
    """So that a learner who looks at one sees the same one, and not the one before it."""
    old, new = tune(BEFORE), tune(f"f3/2 f5/2|{BEFORE}")
    schedules = [build_schedule(each, Timing(slow_down=1.7)) for each in (old, new)]
    again = MovedMoments.between(old, schedules[0], new, schedules[1])
    for bar in range(1, 5):
        for note in (1, 2):
            assert again.moment(moment(old, schedules[0], bar, note)) == moment(new, schedules[1], bar + 1, note)


def test_a_moment_in_a_bar_that_is_gone_is_where_the_next_begins() -> None:
    """At the end of the tune that is the last bar."""
    assert moved(BEFORE, "A2 c2|{gef}e2 c2|B2 A2|").moment(3.3) == pytest.approx(2.0)
    assert moved(BEFORE, "A2 c2|e2 {g}c2|").moment(7.0) == pytest.approx(2.0)


def test_a_bar_that_became_shorter_ends_where_it_ends() -> None:
    """The moment does not run over into what comes after the next one."""
    assert moved("A2 c2|e2 c2|", "A2|e2 c2|").moment(1.8) == pytest.approx(1.0)


def test_another_tempo_moves_it_in_proportion() -> None:
    """Half of a bar stays half of a bar."""
    assert moved(BEFORE, BEFORE, head=HEAD.replace("=60", "=120")).moment(3.0) == pytest.approx(1.5)


def test_a_stretch_keeps_its_bars() -> None:
    """Those in it may have changed, or grown; it goes with its bars."""
    bars = Span(2.0, 6.0)
    assert ends_of(moved(BEFORE, f"f2 f2|{BEFORE}").stretch(bars)) == pytest.approx((4.0, 8.0))
    grown = moved(BEFORE, "A2 c2|e2 {g}c2|{gef}e2 c2 f2|B2 A2|").stretch(bars)
    assert ends_of(grown) == pytest.approx((2.0, 7.0))


def test_a_stretch_of_which_nothing_is_left_is_gone() -> None:
    """One of which some is left is that."""
    assert moved(BEFORE, "A2 c2|B2 A2|").stretch(Span(2.0, 6.0)) is None
    left = moved(BEFORE, "A2 c2|e2 {g}c2|B2 A2|").stretch(Span(2.0, 6.0))
    assert ends_of(left) == pytest.approx((2.0, 4.0))


rows = st.lists(st.integers(0, 4), min_size=1, max_size=20)


@given(rows, rows)
def test_matches_cover_both_rows_in_order(old: list[int], new: list[int]) -> None:
    """Each bar once; what is said to be equal is."""
    found = list(matches(old, new))
    assert [rank for each in found for rank in each.old] == list(range(len(old)))
    assert [rank for each in found for rank in each.new] == list(range(len(new)))
    for each in found:
        if each.equal:
            assert [old[rank] for rank in each.old] == [new[rank] for rank in each.new]


def test_rows_beyond_all_tunes_are_matched_by_their_ends_and_order() -> None:
    """So that no file makes the search long."""
    middle = list(range(1, MOST_COMPARED // 100))
    found = list(matches([0, *middle, 7], [0, *reversed(middle), 7]))
    assert [each.equal for each in found] == [True, False, True]
