"""The stretch that is repeated: both its ends are seen, and what lies outside is quieter."""

from __future__ import annotations

from dataclasses import replace

import pytest

from companion.schedule.spans import Extent
from companion.schedule.timing import Timing
from companion.window.core.display import Display
from companion.window.core.layout import Layout
from companion.window.core.marks import Dot, Label, Picture, Role, Rule, Stripe
from companion.window.play.play_state import PlayState, first_state, respan
from companion.window.play.play_view import PlayView
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

MARCH = scenes.tune("X:1\nT:Creel\nM:2/4\nL:1/8\nQ:1/4=120\nK:HP\nA2 c2|{d}c2 e2|{gef}e2 A2|c2 A2|\n")
BAR_S = 1.0
SIZES = scenes.SIZES


def repeating(extent: Extent, at_s: float) -> PlayState:
    """The march while a stretch of it is repeated."""
    return respan(replace(first_state((MARCH,), MARCH, Timing()), extent=extent, position_s=at_s))


def drawn(state: PlayState, now_s: float, size: tuple[int, int]) -> tuple[Picture, Layout]:
    """The playing screen and its layout."""
    view = PlayView(lettering_for(size, Display()))
    return view.picture(state, Display(), now_s, *size), view.layout(state, Display(), *size)


def strokes(picture: Picture, layout: Layout) -> list[Rule]:
    """The upright strokes of brackets, from left to right."""
    upright = (mark for mark in picture.moving if isinstance(mark, Rule) and mark.x0 == mark.x1)
    found = [mark for mark in upright if mark.role is Role.GUIDE and mark.y1 - mark.y0 > layout.lanes.height]
    return sorted(found, key=lambda mark: mark.x0)


def dots(picture: Picture) -> list[Dot]:
    """The dots of brackets."""
    return [mark for mark in picture.moving if isinstance(mark, Dot) and mark.role is Role.GUIDE]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("share", [0.0, 0.3, 0.6, 0.99])
def test_both_ends_of_a_looped_bar_are_always_in_sight(size: tuple[int, int], share: float) -> None:
    """The second bar, wherever it stands: two brackets that face each other, each in its own place if that is seen."""
    state = repeating(Extent.BAR, BAR_S)
    assert state.span is not None
    assert (state.span.start_s, state.span.end_s) == pytest.approx((BAR_S, 2 * BAR_S))
    now_s = BAR_S + share * BAR_S
    picture, layout = drawn(state, now_s, size)
    left, right = strokes(picture, layout)
    for stroke, at_s in ((left, BAR_S), (right, 2 * BAR_S)):
        due_x = layout.now_x + (at_s - now_s) * layout.px_per_s
        if 0 <= due_x <= layout.width:
            assert stroke.x0 == pytest.approx(due_x)
            assert stroke.width == 3.0
        else:
            assert 0 < stroke.x0 < layout.width
            assert stroke.width < 3.0
    assert left.x0 < layout.now_x <= right.x0 or share == 0.0
    assert len(dots(picture)) == 2 * sum(stroke.width == 3.0 for stroke in (left, right))


def test_the_dots_stand_inside_between_the_hands() -> None:
    """As those of a repeat sign: their shape is their own, not their colour alone."""
    picture, layout = drawn(repeating(Extent.BAR, BAR_S), 1.4 * BAR_S, (1280, 720))
    left, right = strokes(picture, layout)
    for dot in dots(picture):
        assert left.x0 < dot.x < right.x0
        assert layout.lane_ys[3] < dot.y - dot.radius
        assert dot.y + dot.radius < layout.lane_ys[4]


def test_bars_outside_are_thinner_on_either_side_of_the_chanter() -> None:
    """Half as thick, and their words are quiet."""
    now_s = 1.4 * BAR_S
    picture, layout = drawn(repeating(Extent.BAR, BAR_S), now_s, (1280, 720))
    left, right = strokes(picture, layout)
    stripes = [mark for mark in picture.moving if isinstance(mark, Stripe)]
    inside = [mark for mark in stripes if mark.x0 >= left.x0 - 1 and mark.x1 <= right.x0 + 1]
    outside = [mark for mark in stripes if mark not in inside]
    assert inside
    assert {mark.x0 < layout.now_x for mark in outside} == {True, False}
    assert all(mark.x1 <= left.x0 + 1 or mark.x0 >= right.x0 - 1 for mark in outside)
    (thick,), (thin,) = {mark.thickness for mark in inside}, {mark.thickness for mark in outside}
    assert thin == pytest.approx(thick / 2)
    assert {mark.role for mark in outside} == {Role.PAST}
    names = [mark for mark in picture.moving if isinstance(mark, Label) and mark.y == layout.notes_y]
    assert {mark.role for mark in names if mark.x > right.x0 - 1} == {Role.QUIET}
    assert Role.INK in {mark.role for mark in names if layout.now_x < mark.x < right.x0 - 1}


@pytest.mark.parametrize("extent", [Extent.TUNE, Extent.NOTHING])
def test_a_whole_tune_has_nothing_outside(extent: Extent) -> None:
    """No bracket at the edges of the window, and all bars as thick as one another."""
    picture, layout = drawn(repeating(extent, 0.0), 2.0 * BAR_S, (1280, 720))
    assert all(stroke.width == 3.0 for stroke in strokes(picture, layout))
    assert len({mark.thickness for mark in picture.moving if isinstance(mark, Stripe)}) == 1


def test_an_embellishment_shows_its_ends_too() -> None:
    """Every stretch that is repeated does."""
    state = repeating(Extent.EMBELLISHMENT, BAR_S)
    picture, layout = drawn(state, state.position_s, (1280, 720))
    assert len(strokes(picture, layout)) == 2
