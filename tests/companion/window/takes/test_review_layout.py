"""A take in review at every size and in both prints: nothing overlaps or leaves, and targets are large enough."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.window.core.actions import Action
from companion.window.core.display import Print
from companion.window.core.marks import ChanterBody, Frame, Label, Picture, Rect, Role, Target, Wash
from companion.window.core.screen import Canvas
from companion.window.shell import SMALLEST
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_view import TakeView
from companion.window.takes.verdict_screen import VerdictScreen
from tests.companion.window import scenes
from tests.companion.window.takes.reviewing import (
    FAULTLESS,
    MANY_SLIPS,
    ONE_SLIP,
    THREE_SLIPS,
    Slips,
    canvas,
    reviewed,
)

pytestmark = pytest.mark.same_everywhere

SIZES = (SMALLEST, *scenes.SIZES, (3840, 2160), (1024, 1366))
LEAST_TARGET_PX = {Print.NORMAL: 24.0, Print.BIG: 44.0}
"""WCAG 2.2, 2.5.8 Target Size (Minimum), and 2.5.5 Target Size (Enhanced)."""

STATES: tuple[tuple[Action, ...], ...] = (
    (),
    (Action.TEMPO_DOWN,),
    (Action.FINDING_ON, Action.HEAR_MINE),
    (Action.HEAR_IN_TURN,),
    (Action.CHOOSE,),
    (Action.ALL_PLACES, Action.FINDING_ON),
    (Action.OWN_SETTING,),
)


def above_the_foot(screen: TakeScreen, picture: Picture, shown: Canvas) -> tuple[list[Target], float]:
    """What can be clicked above the keys, which are laid out elsewhere, and the height at which those begin."""
    layout = TakeView(shown.measure).layout(screen.state, shown.display, shown.width, shown.height)
    return [each for each in picture.targets if each.rect.y < layout.footer.y], layout.lanes.bottom


def assert_laid_out(screen: TakeScreen, shown: Canvas) -> None:
    """Nothing overlaps or leaves; what flows with the lanes may leave at their sides."""
    picture = screen.picture(shown)
    targets, lanes_bottom = above_the_foot(screen, picture, shown)
    flowing = [mark for mark in picture.moving if isinstance(mark, Label) and mark.y > lanes_bottom]
    for label, rect in scenes.assert_apart(picture, shown.measure):
        assert 0 <= rect.y < rect.bottom <= shown.height, label.text
        if label not in flowing:
            assert 0 <= rect.x < rect.right <= shown.width, label.text
    for one, other in combinations(targets, 2):
        assert not scenes.meet(one.rect, other.rect), (one.intent, other.intent)
    for target in targets:
        least = LEAST_TARGET_PX[shown.display.print]
        assert min(target.rect.width, target.rect.height) >= least, target.intent
        assert inside(target.rect, shown), target.intent


def inside(rect: Rect, shown: Canvas) -> bool:
    """Whether a rectangle lies in the window."""
    return rect.x >= 0 and rect.y >= 0 and rect.right <= shown.width and rect.bottom <= shown.height


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("slips", [FAULTLESS, ONE_SLIP, THREE_SLIPS, MANY_SLIPS])
def test_nothing_overlaps_or_leaves(slips: Slips, size: tuple[int, int], print_size: Print) -> None:
    """With 0, 1, 3 and more than 50 places, whatever is heard or looked at."""
    for actions in STATES:
        screen = reviewed(slips)
        for action in actions:
            screen.act(action)
        assert_laid_out(screen, canvas(size, print_size))


@settings(max_examples=40, deadline=None)
@given(
    width=st.integers(SMALLEST[0], 2600),
    height=st.integers(SMALLEST[1], 1600),
    print_size=st.sampled_from(Print),
    marked=st.integers(0, 12),
)
def test_nothing_overlaps_or_leaves_at_any_size(width: int, height: int, print_size: Print, marked: int) -> None:
    """Whichever thing to mend is marked."""
    screen = reviewed(MANY_SLIPS)
    for _ in range(marked):
        screen.act(Action.TEMPO_DOWN)
    assert_laid_out(screen, canvas((width, height), print_size))


@pytest.mark.parametrize("size", [*scenes.SIZES, (3840, 2160)])
@pytest.mark.parametrize("slips", [FAULTLESS, ONE_SLIP, THREE_SLIPS, MANY_SLIPS])
def test_the_chanter_keeps_half_of_the_window(slips: Slips, size: tuple[int, int]) -> None:
    """However much is said above it."""
    screen = reviewed(slips)
    for _ in range(4):
        (chanter,) = (mark for mark in screen.picture(canvas(size)).moving if isinstance(mark, ChanterBody))
        assert chanter.bottom - chanter.top >= size[1] / 2
        screen.act(Action.TEMPO_DOWN)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("print_size", Print)
def test_a_sentence_is_never_cut_within(size: tuple[int, int], print_size: Print) -> None:
    """What has no room is left out whole; all of it is said on the page of the verdict."""
    screen = reviewed(MANY_SLIPS)
    review = screen.state.review
    assert review is not None
    for matter in review.matters:
        words = "\n".join(label.text for label in scenes.labels(screen.picture(canvas(size, print_size))))
        assert matter.text.split(". ")[0].rstrip(".") in words.replace("\n", " ")
        screen.act(Action.TEMPO_DOWN)
    verdict = screen.act(Action.VERDICT)
    assert isinstance(verdict, VerdictScreen)


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("slips", [ONE_SLIP, THREE_SLIPS, MANY_SLIPS])
def test_the_buttons_stay_however_long_a_sentence_is(slips: Slips, print_size: Print, size: tuple[int, int]) -> None:
    """In each state of the three first things to mend; the large line gives way to them."""
    for downs in range(3):
        for actions in STATES:
            screen = reviewed(slips)
            for action in (*(Action.TEMPO_DOWN,) * downs, *actions):
                screen.act(action)
            picture = screen.picture(canvas(size, print_size))
            assert {Action.HEAR_MINE, Action.HEAR_RIGHT, Action.HEAR_IN_TURN} <= {
                target.intent for target in picture.targets
            }


@pytest.mark.parametrize("print_size", Print)
def test_the_button_of_what_is_heard_is_told_by_its_shape(print_size: Print) -> None:
    """It is filled; and of what is heard in turn the one that sounds now has a frame."""
    for action in (Action.HEAR_MINE, Action.HEAR_RIGHT, Action.HEAR_IN_TURN):
        screen = reviewed(THREE_SLIPS)
        screen.act(action)
        picture = screen.picture(canvas((800, 600), print_size))
        rects = {target.intent: target.rect for target in picture.targets}
        filled = [mark.rect for mark in picture.moving if isinstance(mark, Wash) and mark.role is Role.GUIDE]
        assert filled == [rects[action]]
        framed = [mark.rect for mark in picture.moving if isinstance(mark, Frame) and mark.role is Role.GUIDE]
        assert framed == ([rects[Action.HEAR_MINE]] if action is Action.HEAR_IN_TURN else [])
