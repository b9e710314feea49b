"""The arrows beside the fingers that move next."""

from __future__ import annotations

from itertools import combinations, groupby

import pytest

from companion.schedule.timing import Timing
from companion.window.core.display import Display, Print
from companion.window.core.hands import LEAST_CUE_S, hand_marks
from companion.window.core.layout import FINGER_REACH_MM, Layout, lay_out
from companion.window.core.marks import Arrow, Rect, Role
from companion.window.core.page import Page
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZES = ((640, 480), (800, 600), (1280, 720), (1920, 1080), (3840, 2160))
FRAME_S = 1 / 60


def placed(size: tuple[int, int], print_size: Print) -> Layout:
    """The layout of a window of that size with two rows of keys."""
    return lay_out(Page.of(*size, lettering_for(size, Display(print=print_size))), 2, print_size)


def arrows_over_time(slow_down: float, layout: Layout, display: Display) -> list[tuple[Arrow, ...]]:
    """The arrows of each frame of the tune's first ten seconds."""
    state = scenes.state(Timing(slow_down=slow_down))
    frames = (hand_marks(state.lanes, rank * FRAME_S, slow_down, layout, display) for rank in range(600))
    return [tuple(mark for mark in marks if isinstance(mark, Arrow)) for marks in frames]


@pytest.mark.parametrize("slow_down", [1.0, 2.0, 4.0])
def test_no_arrow_flickers(slow_down: float) -> None:
    """Each stays for as long as it takes to be read, at full speed as at quarter speed."""
    layout = placed((1280, 720), Print.NORMAL)
    frames = arrows_over_time(slow_down, layout, Display())
    runs = [(arrows, len(list(run))) for arrows, run in groupby(frames)]
    lasting = [length * FRAME_S for arrows, length in runs[1:-1] if arrows]
    assert lasting
    assert min(lasting) >= LEAST_CUE_S - 2 * FRAME_S


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("print_size", Print)
def test_arrows_stand_beside_the_fingers_and_apart(size: tuple[int, int], print_size: Print) -> None:
    """Past the end of each finger, within the window, at the height of its lane, none on another."""
    layout = placed(size, print_size)
    for arrows in set(arrows_over_time(4.0, layout, Display(print=print_size))):
        for arrow in arrows:
            assert abs(arrow.x - layout.now_x) - arrow.size / 2 > FINGER_REACH_MM * layout.mm
            assert arrow.size / 2 <= arrow.x <= size[0] - arrow.size / 2
            assert arrow.y in layout.lane_ys
            assert arrow.role is Role.GUIDE
        rooms = [Rect(a.x - a.size / 2, a.y - a.size / 2, a.size, a.size - 0.01) for a in arrows]
        assert not any(scenes.meet(one, other) for one, other in combinations(rooms, 2))


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_an_arrow_in_big_print_is_larger_than_a_finger(size: tuple[int, int]) -> None:
    """Where it has room: those of two neighbours that move together share theirs."""
    layout = placed(size, Print.BIG)
    sizes = {arrow.size for arrows in arrows_over_time(4.0, layout, Display(print=Print.BIG)) for arrow in arrows}
    assert max(sizes) == layout.arrow > 1.5 * layout.lane * 0.9
    assert min(sizes) >= layout.lane - 1e-6
