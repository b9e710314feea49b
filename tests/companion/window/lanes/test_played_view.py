"""What was played in, as the pictures show it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.map_text import Map
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.reading import read_take
from companion.window.core.display import Display, Hand, Print, Viewpoint
from companion.window.core.layout import Layout
from companion.window.core.marks import Dot, FingerMark, HoleMark, Picture, Role, Stripe, Style
from companion.window.core.wording import fitted
from companion.window.lanes.played_in import NOTHING_PLAYED, Light, PlayedIn, Tells
from companion.window.lanes.played_marks import full_lines, ring_marks, thin_lines
from companion.window.lanes.trail import Moment, moments_of
from companion.window.play.free_screen import FREE_KEYS
from companion.window.play.free_view import NO_INSTRUMENT, NOTES_ONLY, FreeView
from companion.window.play.play_view import PlayView
from fingering.chart import chart
from fingering.holes import ALL_CLOSED, Finger, HoleState
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import write_take

CAPS = ("space", "F", "D", "S", "J", "K", "L", ";")
LONG_FAULT = "A wind controller of some maker, MIDI 1 of 2, is gone; plug it in again, or choose another with P"
NOW_S = 6.0


@pytest.fixture(scope="module")
def moments(tmp_path_factory: pytest.TempPathFactory) -> tuple[Moment, ...]:
    """What a player with slightly late fingers played to the tune of these tests."""
    state = scenes.state()
    path = write_take(tmp_path_factory.mktemp("takes"), state.tune, state.schedule, state.timing, KEYS_MAP)
    return tuple(moments_of(read_take(path).events))


def played_until(moments: tuple[Moment, ...], at_s: float, problem: str = "", caps: tuple[str, ...] = ()) -> PlayedIn:
    """What is played in at a moment."""
    so_far = tuple(each for each in moments if each.at_s <= at_s)
    words = "messages arrive from Chanter MIDI 1"
    kept = "kept as 2026-11-25 20-15-03 nets-on-the-slip.mid"
    return PlayedIn(so_far, so_far[-1], Light.ARRIVING, Tells.HOLES, words, problem, kept, caps)


def beside(played: PlayedIn, size: tuple[int, int] = (1280, 720), display: Display | None = None) -> Picture:
    """The playing screen with what was played in."""
    shown = display or Display()
    return PlayView(lettering_for(size, shown)).picture(scenes.state(), shown, NOW_S, *size, played)


def freely(played: PlayedIn, size: tuple[int, int] = (1280, 720), display: Display | None = None) -> Picture:
    """Free play."""
    shown = display or Display()
    hints = FREE_KEYS.at_foot(scenes.state(), shown)
    return FreeView(lettering_for(size, shown)).picture(played, hints, shown, NOW_S, *size)


def layout_of(size: tuple[int, int], display: Display) -> Layout:
    """The layout of the playing screen."""
    return PlayView(lettering_for(size, display)).layout(scenes.state(), display, *size)


def played_stripes(picture: Picture) -> list[Stripe]:
    """The lines of what was played."""
    return [mark for mark in picture.moving if isinstance(mark, Stripe) and mark.role is Role.PLAYED]


def test_a_thin_line_lies_under_a_lane_exactly_where_its_hole_was_closed() -> None:
    """Low A from 1 s on, and from 2 s on D, at 100 pixels a second."""
    layout = layout_of((1280, 720), Display())
    moments = [Moment(1.0, chart(Note.LOW_A), Note.LOW_A), Moment(2.0, chart(Note.D), Note.D)]
    lines = thin_lines(moments, 3.0, lambda time_s: 100.0 * time_s, layout)
    ends = {}
    for finger in Finger:
        near = [line for line in lines if isinstance(line, Stripe) and 0 < line.y - layout.lane_y(finger) < 15]
        ends[finger] = [(line.x0, line.x1) for line in near]
    assert ends[Finger.THUMB] == [(100.0, 300.0)]
    assert ends[Finger.LOWER_INDEX] == [(100.0, 200.0)]
    assert ends[Finger.LOWER_LITTLE] == [(200.0, 300.0)]


def test_played_lines_never_touch_the_asked_ones(moments: tuple[Moment, ...]) -> None:
    """At every size and in both prints a sliver of ground lies between."""
    for size in scenes.SIZES:
        for print_size in Print:
            picture = beside(played_until(moments, NOW_S), size, Display(print=print_size))
            asked = [mark for mark in picture.moving if isinstance(mark, Stripe) and mark.role is Role.PAST]
            for thin in played_stripes(picture):
                over = [stripe for stripe in asked if 0 < thin.y - stripe.y < 20 and stripe.x1 > thin.x0]
                assert all(thin.y - thin.thickness / 2 > stripe.y + stripe.thickness / 2 for stripe in over)


def test_nothing_is_played_to_the_right_of_the_present(moments: tuple[Moment, ...]) -> None:
    """The future was not played yet."""
    picture = beside(played_until(moments, NOW_S))
    layout = layout_of((1280, 720), Display())
    assert played_stripes(picture)
    assert all(stripe.x1 <= layout.now_x for stripe in played_stripes(picture))


def test_a_flood_of_changes_cannot_flood_the_picture() -> None:
    """A finger that moved 500 times a second leaves no more lines than there is room for."""
    layout = layout_of((1920, 1080), Display())
    flood = [Moment(rank / 500, HoleState(255 * (rank % 2)), Note.LOW_G) for rank in range(5000)]
    lines = full_lines(flood, 10.0, lambda time_s: layout.now_x + (time_s - 10.0) * 400.0, layout)
    assert len(lines) <= len(Finger) * layout.width / 3


@pytest.mark.parametrize("viewpoint", Viewpoint)
@pytest.mark.parametrize("hand", Hand)
def test_a_disc_or_a_ring_stands_beside_each_hole_away_from_its_finger(viewpoint: Viewpoint, hand: Hand) -> None:
    """A disc for a closed hole, a ring for an open one: not by colour alone."""
    display = Display(viewpoint=viewpoint, upper_hand=hand)
    layout = layout_of((1280, 720), display)
    state = chart(Note.D)
    dots = [d for d in ring_marks(Moment(0.0, state, Note.D), layout, display) if isinstance(d, Dot)]
    rings = [dot for dot in dots if dot.role is Role.PLAYED]
    fingers = sorted((m for m in beside(NOTHING_PLAYED, display=display).moving if isinstance(m, FingerMark)), key=_y)
    assert [ring.filled for ring in rings] == [state.closed(finger) for finger in Finger]
    for ring, finger in zip(rings, fingers, strict=True):
        assert (ring.x - layout.now_x) * finger.side.sign < 0


def _y(mark: FingerMark) -> float:
    return mark.y


def test_without_an_instrument_the_playing_screen_is_as_it_was() -> None:
    """No light, no words, no rings."""
    assert beside(NOTHING_PLAYED) == scenes.picture(NOW_S)


def test_a_fault_takes_the_place_of_the_other_words(moments: tuple[Moment, ...]) -> None:
    """In its own role, and beside the light, which is told by its shape."""
    problem = "Chanter MIDI 1 is gone; plug it in again"
    told = {label.text: label.role for label in scenes.labels(beside(played_until(moments, NOW_S, problem)))}
    assert told[problem] is Role.FAULT
    assert not any(words.startswith("messages arrive") for words in told)


def test_a_notice_stands_where_a_fault_would_and_gives_way_to_one(moments: tuple[Moment, ...]) -> None:
    """Both in the role of a fault, one at a time, shortened to their room."""
    state, display = replace(scenes.state(), notice=LONG_FAULT * 3), Display()
    view = PlayView(lettering_for((1280, 720), display))
    for problem, seen in (("", "A wind controller"), ("gone; plug it in", "gone; plug it in")):
        picture = view.picture(state, display, NOW_S, 1280, 720, played_until(moments, NOW_S, problem))
        told = [label for label in scenes.labels(picture) if label.role is Role.FAULT]
        assert [label.text.startswith(seen) for label in told] == [True]
        assert scenes.label_rect(told[0], view.measure).x > layout_of((1280, 720), display).now_x


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", Print)
@pytest.mark.parametrize("draw", [beside, freely], ids=["beside a tune", "freely"])
def test_no_words_overlap_or_leave_the_window(
    moments: tuple[Moment, ...],
    size: tuple[int, int],
    print_size: Print,
    draw: Callable[[PlayedIn, tuple[int, int], Display], Picture],
) -> None:
    """With caps and with the longest line, at three sizes and in both prints."""
    display = Display(print=print_size)
    measure = lettering_for(size, display)
    for played in (played_until(moments, NOW_S, LONG_FAULT, CAPS), played_until(moments, NOW_S)):
        picture = draw(played, size, display)
        rects = scenes.assert_apart(picture, measure)
        layout = layout_of(size, display)
        for label, rect in rects:
            assert rect.y >= 0, label.text
            assert rect.bottom <= size[1], label.text
            if rect.y < layout.lanes.y:
                assert rect.x >= 0, label.text
                assert rect.right <= size[0], label.text


def test_free_play_follows_the_fingers(moments: tuple[Moment, ...]) -> None:
    """Each finger lies on its hole or is raised, as the player's is."""
    played = played_until(moments, NOW_S)
    picture = freely(played)
    holes = [mark for mark in picture.moving if isinstance(mark, HoleMark)]
    fingers = sorted((mark for mark in picture.moving if isinstance(mark, FingerMark)), key=_y)
    for finger, hole, mark in zip(Finger, holes, fingers, strict=True):
        assert hole.closed == played.now.state.closed(finger) == (mark.lift == 0.0)


def test_free_play_names_the_note_in_the_large_line(moments: tuple[Moment, ...]) -> None:
    """The large line is the note's name, and says so where nothing sounds."""
    played = played_until(moments, NOW_S)
    assert played.now.note is not None
    large = [label.text for label in scenes.labels(freely(played)) if label.style is Style.LARGE]
    assert large == [played.now.note.label]
    silent = PlayedIn((Moment(1.0, ALL_CLOSED),), Moment(1.0, ALL_CLOSED), Light.QUIET)
    assert [label.text for label in scenes.labels(freely(silent)) if label.style is Style.LARGE] == ["silence"]


@pytest.mark.parametrize(("known", "tells"), [(KEYS_MAP, Tells.HOLES), (DEFAULT_MAP, Tells.NOTES)])
def test_fingers_taken_from_the_chart_are_said_to_be(tmp_path: Path, known: Map, tells: Tells) -> None:
    """An instrument that tells notes only knows nothing of fingers."""
    state = scenes.state()
    path = write_take(tmp_path, state.tune, state.schedule, state.timing, known)
    so_far = tuple(each for each in moments_of(read_take(path).events) if each.at_s <= NOW_S)
    picture = freely(PlayedIn(so_far, so_far[-1], Light.ARRIVING, tells))
    words = [label.text for label in scenes.labels(picture)]
    assert (NOTES_ONLY in words) == (tells is Tells.NOTES)
    thumb, upper, lower = str(so_far[-1].state).split()
    told = f"thumb {thumb}, upper hand {upper}, lower hand {lower} (x closed, o open)"
    assert (told in words) == (tells is Tells.HOLES)


def test_free_play_without_an_instrument_says_how_to_get_one() -> None:
    """By the keys that do it."""
    assert NO_INSTRUMENT in [label.text for label in scenes.labels(freely(NOTHING_PLAYED))]


@pytest.mark.parametrize("room", [0.0, 30.0, 100.0, 5000.0])
def test_words_are_shortened_to_their_room(room: float) -> None:
    """Whole where they fit, else with an ellipsis, never wider."""
    measure = lettering_for((1280, 720), Display())
    words = fitted(LONG_FAULT, Style.TEXT, room, measure)
    assert words == LONG_FAULT or (words.endswith("…") and (room < 10 or measure.width(words, Style.TEXT) <= room))
