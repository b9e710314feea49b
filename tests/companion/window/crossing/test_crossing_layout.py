"""Where things stand on the crossing screen: words, keys and targets keep apart."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest

from companion.window.core.actions import Action, Seek
from companion.window.core.display import Display, Print
from companion.window.core.hands import hand_marks
from companion.window.core.marks import (
    FingerMark,
    Frame,
    Stripe,
)
from companion.window.crossing.crossing_state import noise_middle_s, update
from companion.window.crossing.crossing_view import CrossingView
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.crossing.showing import SHOWN, WIDE, opened, shown
from tests.companion.window.lettered import lettering_for


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize(
    "display",
    [Display(), Display(print=Print.BIG)],
    ids=["", "big"],
)
@pytest.mark.parametrize("pair", SHOWN)
def test_no_words_overlap_or_leave_the_window(pair: tuple[Note, Note], size: tuple[int, int], display: Display) -> None:
    """All along the crossing, clean and faulty, at three sizes, in both prints."""
    measure = lettering_for(size, display)
    view = CrossingView(measure)
    faulty = opened(*pair)
    for state in (faulty, update(faulty, Action.FLIP, 0.0)):
        for rank in range(8):
            picture = view.picture(state, display, state.schedule.duration_s * rank / 7, *size)
            rects = scenes.assert_apart(picture, measure)
            for label, rect in rects:
                assert 0 <= rect.x < rect.right <= size[0], label.text
                assert 0 <= rect.y < rect.bottom <= size[1], label.text


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_the_lanes_end_where_the_paths_begin(size: tuple[int, int], print_size: Print) -> None:
    """No stripe, frame or word of the left reaches the plot; fingers keep their room."""
    display = Display(print=print_size)
    state = opened()
    view = CrossingView(lettering_for(size, display))
    places = view.places(state, display, *size)
    for rank in range(30):
        picture = view.picture(state, display, state.schedule.duration_s * rank / 29, *size)
        for mark in picture.moving:
            if isinstance(mark, Stripe):
                assert mark.x1 < places.plot.x
            if isinstance(mark, Frame):
                assert mark.rect.right < places.plot.x
    assert places.layout.lanes.height >= size[1] / 3
    thickness = hand_marks(state.lanes, 0.0, 16.0, places.layout, display)
    finger = next(mark for mark in thickness if isinstance(mark, FingerMark))
    assert min(below - above for above, below in pairwise(places.layout.lane_ys)) >= finger.thickness


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_every_target_can_be_hit(size: tuple[int, int], print_size: Print) -> None:
    """Targets measure at least 24 x 24 (WCAG 2.2, 2.5.8) and none covers another."""
    targets = [target.rect for target in shown(opened(), size=size, display=Display(print=print_size)).targets]
    assert all(rect.width >= 24 and rect.height >= 24 for rect in targets)
    assert not any(scenes.meet(one, other) for one, other in combinations(targets, 2))


def test_a_click_in_the_lanes_goes_to_the_moment_there() -> None:
    """The frame's left edge is where the noise begins; right of the lanes there is none."""
    state, display = opened(), Display()
    view = CrossingView(lettering_for(WIDE, display))
    layout = view.places(state, display, *WIDE).layout
    (frame,) = [mark for mark in shown(state).moving if isinstance(mark, Frame)]
    grab = view.grab_at(state, display, (frame.rect.x, layout.lane_ys[4]), noise_middle_s(state), WIDE)
    assert grab is not None
    assert isinstance(grab.tap, Seek)
    assert grab.tap.time_s == pytest.approx(state.noises[0].start_s)
    assert view.grab_at(state, display, (1000.0, layout.lane_ys[4]), 0.0, WIDE) is None
