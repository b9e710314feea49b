"""The pointer over a lane: the finger and its movement there, in words."""

from __future__ import annotations

import pytest

from companion.schedule.lanes import Lane
from companion.window.core.display import Display, Print
from companion.window.core.layout import Layout
from companion.window.core.marks import Label, Wash
from companion.window.lanes.hover_marks import hover_marks
from companion.window.play.play_view import PlayView
from fingering.holes import Finger
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

SIZE = (1280, 720)


def layout_of(size: tuple[int, int] = SIZE, display: Display | None = None) -> Layout:
    """The layout of the playing screen."""
    shown = display or Display()
    return PlayView(lettering_for(size, shown)).layout(scenes.state(), shown, *size)


def said(finger: Finger, at_s: float) -> str:
    """What is said with the pointer on a finger's lane, where that moment stands."""
    state, layout = scenes.state(), layout_of()
    at = (700.0, layout.lane_y(finger))
    marks = hover_marks(at, state.lanes, state.schedule, lambda x: at_s, layout, lettering_for(SIZE, Display()))
    return " ".join(mark.text for mark in marks if isinstance(mark, Label))


def middle(lane: Lane, *, closed: bool, brief: bool) -> float:
    """The middle of a finger's first stretch of that kind."""
    found = next(each for each in lane.stretches if (each.closed, each.brief) == (closed, brief))
    return (found.start_s + found.end_s) / 2


def test_it_names_the_finger_and_the_note_it_moves_for() -> None:
    """Down until it lifts, or up until it comes down."""
    lane = scenes.state().lanes[Finger.UPPER_INDEX]
    words = said(Finger.UPPER_INDEX, middle(lane, closed=True, brief=False))
    assert words == "upper index: down, lifts for high G gracenote"


def test_it_names_the_gracenote_that_a_finger_lifts_for() -> None:
    """The first of the tune is a high G gracenote, by the top hand's index finger: common practice, no source."""
    lane = scenes.state().lanes[Finger.UPPER_INDEX]
    assert said(Finger.UPPER_INDEX, middle(lane, closed=False, brief=True)).endswith("lifts for the high G gracenote")


def test_between_the_lanes_and_before_the_tune_nothing_is_said() -> None:
    """Nor where the pointer is elsewhere."""
    state, layout = scenes.state(), layout_of()
    measure = lettering_for(SIZE, Display())
    for at, moment in (((700.0, 5.0), {700.0: 1.0}), ((700.0, layout.lane_ys[0]), {700.0: -2.0}), (None, {0.0: 1.0})):
        assert not list(hover_marks(at, state.lanes, state.schedule, moment.__getitem__, layout, measure))


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_the_words_stay_in_the_window_and_on_their_plate(size: tuple[int, int], print_size: Print) -> None:
    """Wherever the pointer is."""
    display = Display(print=print_size)
    state, layout, measure = scenes.state(), layout_of(size, display), lettering_for(size, display)
    for x in (0.0, size[0] / 2, size[0] - 1.0):
        for y in layout.lane_ys:
            marks = list(hover_marks((x, y), state.lanes, state.schedule, lambda _: 3.0, layout, measure))
            (plate,) = [mark.rect for mark in marks if isinstance(mark, Wash)]
            (label,) = [mark for mark in marks if isinstance(mark, Label)]
            words = scenes.label_rect(label, measure)
            assert 0 <= plate.x <= words.x < words.right <= plate.right <= size[0]
            assert 0 <= plate.y < plate.bottom <= size[1]
