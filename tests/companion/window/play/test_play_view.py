"""What the playing screen shows at a moment."""

from __future__ import annotations

from itertools import combinations

import pytest

from companion.listen.verdict.brief import Brief
from companion.schedule.events import Event, EventKind, Schedule
from companion.schedule.timing import Timing
from companion.window.core.actions import HearAlone, RepeatBetween, Scrub
from companion.window.core.display import Display, Hand, Print, Viewpoint
from companion.window.core.marks import (
    Arch,
    Arrow,
    ChanterBody,
    Direction,
    FingerMark,
    HoleMark,
    Label,
    Picture,
    Rect,
    Role,
    Side,
    Stripe,
)
from companion.window.core.screen import Canvas
from companion.window.lanes.played_in import Light, PlayedIn
from companion.window.lanes.told import Told
from companion.window.play.play_view import PlayView
from fingering.holes import Finger
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for


def marks_of(picture: Picture, kind: type) -> list:  # type: ignore[type-arg]
    """All moving marks of one kind, in the order they are drawn."""
    return [mark for mark in picture.moving if isinstance(mark, kind)]


def gracenote_of(schedule: Schedule, name: str, rank: int) -> Event:
    """The first gracenote of that rank in an embellishment of that name."""
    graces = (event for event in schedule.events if event.grace == rank)
    return next(grace for grace in graces if name in str(schedule.embellishments[grace.played]))


def settled_moments() -> list[float]:
    """A moment well inside each event of the tune."""
    return [(event.start_s + event.end_s) / 2 for event in scenes.state().schedule.events]


def test_a_bar_reaches_the_chanter_exactly_where_a_hole_is_closed() -> None:
    """At every event, each lane has a stripe under the present if and only if the finger is down."""
    state = scenes.state()
    for at_s in settled_moments():
        hole_state = state.schedule.states[state.schedule.state_index_at(at_s)].state
        picture = scenes.picture(at_s)
        now_x = marks_of(picture, ChanterBody)[0].x
        holes = marks_of(picture, HoleMark)
        for finger, hole in zip(Finger, holes, strict=True):
            reaches = any(s.y == hole.y and s.x0 <= now_x <= s.x1 for s in marks_of(picture, Stripe))
            assert reaches == hole_state.closed(finger) == hole.closed


def test_a_finger_lies_on_its_hole_when_closed_and_is_raised_when_open() -> None:
    """Lift is 0 on a closed hole, and enough to uncover an open one."""
    state = scenes.state()
    for at_s in settled_moments():
        hole_state = state.schedule.states[state.schedule.state_index_at(at_s)].state
        fingers = sorted(marks_of(scenes.picture(at_s), FingerMark), key=lambda mark: mark.y)
        for finger, mark in zip(Finger, fingers, strict=True):
            assert (mark.lift == 0.0) == hole_state.closed(finger)
            assert mark.lift == 0.0 or mark.lift > 0.5


def test_time_moves_the_picture() -> None:
    """Two moments give two pictures, and the same moment twice gives the same one."""
    assert scenes.picture(1.0) == scenes.picture(1.0)
    assert scenes.picture(1.0).moving != scenes.picture(1.02).moving


def test_what_comes_is_right_of_the_chanter_and_what_was_is_left_of_it() -> None:
    """A stripe never crosses the present: its colour changes there."""
    picture = scenes.picture(5.0)
    now_x = marks_of(picture, ChanterBody)[0].x
    assert all(stripe.x1 <= now_x or stripe.x0 >= now_x for stripe in marks_of(picture, Stripe))


def test_a_gracenote_is_an_arch_in_one_lane() -> None:
    """The D of a C doubling is one finger's arch: the lower index (common practice, no source)."""
    state = scenes.state()
    schedule = state.schedule
    grace = gracenote_of(schedule, "C doubling", 2)
    picture = scenes.picture(grace.start_s - 0.05)
    lane_y = marks_of(picture, HoleMark)[Finger.LOWER_INDEX].y
    now_x = marks_of(picture, ChanterBody)[0].x
    arches = [arch for arch in marks_of(picture, Arch) if now_x < arch.x0 < now_x + 80]
    assert [arch.y for arch in arches] == [lane_y]


def test_the_next_movement_is_announced_with_its_direction() -> None:
    """Before a doubling's G gracenote the upper index says that it will lift."""
    state = scenes.state()
    first_grace = next(event for event in state.schedule.events if event.kind is EventKind.GRACENOTE)
    picture = scenes.picture(first_grace.start_s - 0.1)
    directions = {arrow.y: arrow.direction for arrow in marks_of(picture, Arrow)}
    upper_index_y = marks_of(picture, HoleMark)[Finger.UPPER_INDEX].y
    assert directions[upper_index_y] is Direction.UP


@pytest.mark.parametrize(
    ("viewpoint", "hand", "side"),
    [
        (Viewpoint.PLAYER, Hand.LEFT, Side.LEFT),
        (Viewpoint.ONLOOKER, Hand.LEFT, Side.RIGHT),
        (Viewpoint.PLAYER, Hand.RIGHT, Side.RIGHT),
        (Viewpoint.ONLOOKER, Hand.RIGHT, Side.LEFT),
    ],
)
def test_hands_reach_from_opposite_sides(viewpoint: Viewpoint, hand: Hand, side: Side) -> None:
    """A left hand above comes from the player's left, an onlooker's right; the lower hand from the other side."""
    picture = scenes.picture(1.0, display=Display(viewpoint=viewpoint, upper_hand=hand))
    fingers = sorted(marks_of(picture, FingerMark), key=lambda mark: mark.y)
    assert [finger.side for finger in fingers] == [side] * 4 + [side.other] * 4


def test_the_thumb_is_behind_the_wood_for_an_onlooker_only() -> None:
    """Drawn before the chanter it is hidden by it, drawn after it lies over it."""
    for viewpoint in Viewpoint:
        kinds = [type(mark) for mark in scenes.picture(1.0, display=Display(viewpoint=viewpoint)).moving]
        hidden = kinds.index(FingerMark) < kinds.index(ChanterBody)
        assert hidden == (viewpoint is Viewpoint.ONLOOKER)


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_no_words_overlap_or_leave_the_window(size: tuple[int, int], print_size: Print) -> None:
    """At three sizes, in both prints, at many moments. Names under the lanes flow out at the sides and are let go."""
    display = Display(print=print_size)
    measure = lettering_for(size, display)
    view = PlayView(measure)
    state = scenes.state()
    for at_s in settled_moments()[::3]:
        picture = view.picture(state, display, at_s, *size)
        rects = scenes.assert_apart(picture, measure)
        layout = view.layout(state, display, *size)
        window = Rect(0, 0, *size)
        for label, rect in rects:
            if label.y not in (layout.names_y, layout.notes_y):
                assert window.x <= rect.x < rect.right <= window.right, label.text
                assert window.y <= rect.y < rect.bottom <= window.bottom, label.text


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_the_lanes_keep_room_for_the_fingers(size: tuple[int, int], print_size: Print) -> None:
    """Two neighbouring fingers never cover each other."""
    display = Display(print=print_size)
    layout = PlayView(lettering_for(size, display)).layout(scenes.state(), display, *size)
    picture = scenes.picture(1.0, size, display)
    thickness = marks_of(picture, FingerMark)[0].thickness
    gaps = [below - above for above, below in zip(layout.lane_ys, layout.lane_ys[1:], strict=False)]
    assert min(gaps) >= thickness


@pytest.mark.parametrize("size", scenes.SIZES)
def test_every_target_can_be_hit(size: tuple[int, int]) -> None:
    """Targets measure at least 24 x 24 (WCAG 2.2, 2.5.8) and none covers another."""
    targets = [target.rect for target in scenes.picture(1.0, size).targets]
    assert all(rect.width >= 24 and rect.height >= 24 for rect in targets)
    assert not any(scenes.meet(one, other) for one, other in combinations(targets, 2))


def test_the_lanes_can_be_dragged_and_the_names_marked() -> None:
    """Half a second to the right of the chanter is half a second later; above and below there is nothing to take."""
    display, size = Display(), (1280, 720)
    measure = lettering_for(size, display)
    view, state = PlayView(measure), scenes.state()
    canvas = Canvas(*size, display, measure)
    layout = view.layout(state, display, *size)
    half_s = layout.px_per_s / 4.0**0.75 / 2
    grab = view.grab_at(state, canvas, (layout.now_x + half_s, layout.lane_ys[3]), 2.0)
    assert grab is not None
    dragged = grab.drag(layout.now_x + 2 * half_s)
    assert isinstance(grab.tap, HearAlone)
    assert isinstance(grab.hold, HearAlone)
    assert isinstance(dragged, Scrub)
    assert (grab.tap.repeated, grab.hold.repeated) == (False, True)
    assert (grab.tap.time_s, grab.hold.time_s, dragged.time_s) == pytest.approx((2.5, 2.5, 1.5))
    names = view.grab_at(state, canvas, (layout.now_x + half_s, layout.notes_y), 2.0)
    assert names is not None
    marked = names.drag(layout.now_x + 2 * half_s)
    assert isinstance(marked, RepeatBetween)
    assert (marked.one_s, marked.other_s) == pytest.approx((2.5, 3.0))
    assert view.grab_at(state, canvas, (10.0, 5.0), 2.0) is None
    assert view.grab_at(state, canvas, (10.0, layout.footer.y + 5.0), 2.0) is None


def test_slowed_gracenotes_get_more_room() -> None:
    """The slower the tune, the wider the notch of a gracenote is drawn, in both ways of slowing."""
    widths = []
    for slow_down in (1.0, 4.0, 16.0):
        state = scenes.state(Timing(slow_down=slow_down))
        display = Display()
        grace = next(event for event in state.schedule.events if event.kind is EventKind.GRACENOTE)
        picture = PlayView(lettering_for((1280, 720), display)).picture(state, display, grace.start_s - 0.01, 1280, 720)
        arch = min(marks_of(picture, Arch), key=lambda mark: mark.x0)
        widths.append(arch.x1 - arch.x0)
    assert widths == sorted(widths)
    assert widths[0] < widths[-1]


def test_labels_are_plain_words() -> None:
    """Every label has something to say."""
    assert all(isinstance(label, Label) and label.text.strip() for label in scenes.labels(scenes.picture(3.0)))


EVERY_SIZE = ((640, 480), *scenes.SIZES, (2560, 1440), (3840, 2160))
CAPS = ("space", *"FDSJKL;")
LISTENING = PlayedIn(light=Light.ARRIVING, words="listening to Chanter MIDI 1", kept="kept as a take", caps=CAPS)
LETTERS_UP, LETTERS_DOWN = 0.285, 0.425
"""From the middle of a line to the top of its tallest letter and to the foot of a g, in heights of the line (Source
Serif Pro, by its metrics)."""

HEARD = (
    Told(brief=Brief("bar 128", "high A for high G gracenote", 12)),
    Told(lines=("Bar 3: between C and E the upper ring finger was 37 ms late; low A was heard (4 times).",) * 3),
)


@pytest.mark.parametrize("size", EVERY_SIZE, ids=str)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
@pytest.mark.parametrize("heard", HEARD, ids=["brief", "sentences"])
def test_no_words_overlap_while_the_ear_has_much_to_say(size: tuple[int, int], print_size: Print, heard: Told) -> None:
    """Beside what sounds, the place, the line of what is played in, the lanes and the keys."""
    display = Display(print=print_size)
    measure = lettering_for(size, display)
    view, state = PlayView(measure), scenes.state()
    layout = view.layout(state, display, *size, LISTENING)
    for at_s in settled_moments()[::5]:
        picture = view.picture(state, display, at_s, *size, LISTENING, heard)
        for label, rect in scenes.assert_apart(picture, measure):
            if label.y not in (layout.names_y, layout.notes_y):
                assert rect.x >= 0, label.text
                assert rect.right <= size[0], label.text
            if label.role is Role.FAULT:
                height = measure.height(label.style)
                assert layout.ear.y - 1.0 <= label.y - height * LETTERS_UP, label.text
                assert label.y + height * LETTERS_DOWN <= layout.chanter_top, label.text
