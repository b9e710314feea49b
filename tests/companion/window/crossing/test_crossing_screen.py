"""The way from a tune to a crossing and back, with the player that the screens share."""

from __future__ import annotations

import pytest

from companion.schedule.crossing import NamedTransition
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Pick, Seek
from companion.window.core.caps import CAPS
from companion.window.core.display import Display
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.crossing.change_facts import PAIRS
from companion.window.crossing.crossing_screen import CrossingScreen
from companion.window.crossing.crossing_state import Delay, Version
from companion.window.crossing.map_screen import MapScreen
from companion.window.crossing.tune_map_screen import TuneMapScreen
from companion.window.navigation import CROSSING_NAVIGATION, crossing_alone, crossing_over
from companion.window.play.play_keys import PLAY_TABLE
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from fingering.errors import UserError
from fingering.holes import Finger
from fingering.notes import Note
from tests.companion.tune_building import notes, tune
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for

D_TO_E = NamedTransition.between(Note.D, Note.E)


class Clock:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        return self.now_s


class Bench:
    """A playing screen on a silent player and a clock."""

    def __init__(self) -> None:
        self.clock = Clock()
        self.player = SilentPlayer(self.clock)
        self.playing = PlayScreen(scenes.state(), self.player, choose_tune, CROSSING_NAVIGATION)

    def crossing(self) -> CrossingScreen:
        """D to E over it."""
        return crossing_over(self.playing, D_TO_E)


def canvas() -> Canvas:
    """A window of the usual size."""
    return Canvas(1280, 720, Display(), lettering_for((1280, 720), Display()))


def test_x_opens_the_crossing_around_the_present_moment() -> None:
    """Standing where the second melody note begins, what leads there is shown; a gracenote's step is one of its own."""
    bench = Bench()
    for step in range(1, 12):
        bench.playing.act(Action.ON)
        stood_s = bench.playing.position_s()
        opened = bench.playing.act(Action.CROSSING)
        assert isinstance(opened, CrossingScreen), step
        schedule = bench.playing.state.schedule
        change = min(schedule.events[1:], key=lambda event: abs(event.start_s - stood_s))
        assert opened.state.named.transition.end == change.state
        assert opened.state.named.end is change.note
        opened.close()
        assert bench.playing.position_s() == stood_s


def test_the_crossing_goes_round_and_the_tune_waits_where_it_stood() -> None:
    """While it is open the shared player loops it; closed, the tune stands where it was, paused, and plays on."""
    bench = Bench()
    bench.playing.act(Seek(3.0))
    bench.playing.act(Action.PLAY)
    bench.clock.now_s = 1.0
    screen = bench.crossing()
    duration_s = screen.state.schedule.duration_s
    assert screen.state.playing
    bench.clock.now_s = 1.0 + 2.5 * duration_s
    assert screen.position_s() == pytest.approx(duration_s / 2, abs=0.001)
    screen.close()
    assert not bench.playing.state.playing
    assert bench.playing.position_s() == pytest.approx(4.0)
    bench.playing.act(Action.PLAY)
    bench.clock.now_s += 0.5
    assert bench.playing.position_s() == pytest.approx(4.5)


def test_changes_keep_it_playing_and_in_step() -> None:
    """Later, slower, clean, back: the player has the schedule that is shown, and loops all of it."""
    bench = Bench()
    screen = bench.crossing()
    for action in (Action.MORE_LATE, Action.SLOWER, Action.FLIP, Action.REVERSE, Action.FIRST_NOTE, Action.FINGER_ON):
        bench.clock.now_s += 0.3
        assert screen.act(action) is ScreenResult.STAY
        assert bench.player.playing
        assert bench.player.loop is not None
        assert bench.player.loop.end_s == pytest.approx(screen.state.schedule.duration_s, abs=0.0001)
        assert screen.position_s() == pytest.approx(bench.player.position_s())


def test_space_and_steps_stand_still() -> None:
    """A pause holds the moment; a step goes to a movement; the clock no longer moves it."""
    bench = Bench()
    screen = bench.crossing()
    bench.clock.now_s = 0.7
    screen.act(Action.PLAY)
    bench.clock.now_s = 5.0
    assert screen.position_s() == pytest.approx(0.7)
    screen.act(Action.ON)
    assert screen.position_s() == pytest.approx(screen.state.moment_s)
    assert not bench.player.playing


def test_time_moves_the_picture() -> None:
    """The clock that is passed in is the one that is drawn."""
    bench = Bench()
    screen = bench.crossing()
    first = screen.picture(canvas())
    assert screen.picture(canvas()) == first
    bench.clock.now_s = 0.4
    assert screen.picture(canvas()).moving != first.moving


def test_a_click_in_the_lanes_is_a_seek() -> None:
    """A click beside the lanes asks for nothing."""
    screen = Bench().crossing()
    grab = screen.grab(500.0, 350.0, canvas())
    assert grab is not None
    assert isinstance(grab.tap, Seek)
    assert screen.act(grab.drag(400.0)) is screen.act(grab.release) is ScreenResult.STAY
    assert screen.grab(900.0, 350.0, canvas()) is None


def test_w_opens_the_map_and_what_is_taken_there_is_shown() -> None:
    """The crossing waits; a pair taken from the map plays at once, with the finger that makes its noise."""
    bench = Bench()
    screen = bench.crossing()
    chart = screen.act(Action.MAP)
    assert isinstance(chart, MapScreen)
    assert not bench.player.playing
    assert chart.act(Pick(PAIRS.index((Note.HIGH_A, Note.E)))) is ScreenResult.CLOSE
    assert screen.state.named == NamedTransition.between(Note.HIGH_A, Note.E)
    assert screen.state.late == (Finger.UPPER_RING, 40.0)
    assert bench.player.playing


def test_what_is_taken_from_the_list_of_the_map_is_shown_too() -> None:
    """W, U, Enter: the map closes, whichever face it shows, and what is to be drilled first plays."""
    bench = Bench()
    screen = bench.crossing()
    chart = screen.act(Action.MAP)
    assert isinstance(chart, MapScreen)
    chart.act(Action.TUNE_MAP)
    assert chart.act(Action.CHOOSE) is ScreenResult.CLOSE
    assert (screen.state.named.start, screen.state.named.end) == chart.chosen
    assert bench.player.playing


def test_the_playing_screen_opens_both_maps() -> None:
    """W for every change of note, U for the tune's own; what is taken in either opens over it, and Esc comes back."""
    bench = Bench()
    for action, kind in ((Action.MAP, MapScreen), (Action.TUNE_MAP, TuneMapScreen)):
        opened = bench.playing.act(action)
        assert isinstance(opened, kind)
        taken = opened.act(Action.CHOOSE)
        assert isinstance(taken, CrossingScreen)
        assert taken.act(Action.LEAVE) is ScreenResult.CLOSE
        taken.close()
        assert opened.act(Action.LEAVE) is ScreenResult.CLOSE


def test_the_playing_screen_shows_the_keys_that_open_them() -> None:
    """X, U and W are among its keys."""
    caps = {(CAPS[action], action) for action in (Action.CROSSING, Action.TUNE_MAP, Action.MAP)}
    assert caps <= set(PLAY_TABLE.keycaps())


def test_where_nothing_moves_nothing_opens() -> None:
    """A tune of one held note: no crossing, and one line instead of a list."""
    held = tune(notes("A A"))
    playing = PlayScreen(first_state((held,), held, Timing()), SilentPlayer(Clock()), choose_tune, CROSSING_NAVIGATION)
    assert playing.act(Action.CROSSING) is ScreenResult.STAY
    assert playing.act(Action.TUNE_MAP) is ScreenResult.STAY
    assert "no fingers move" in playing.state.notice


def test_a_still_stands_in_the_middle_of_the_noise() -> None:
    """With a finger late the noise is under the chanter; without one it is drawn as taught."""
    late = crossing_alone(D_TO_E, (Finger.UPPER_RING, 60.0))
    (noise,) = late.state.noises
    assert late.position_s() == pytest.approx((noise.start_s + noise.end_s) / 2)
    assert crossing_alone(D_TO_E, None).state.version is Version.TAUGHT


def test_a_finger_that_rests_cannot_be_held_back() -> None:
    """One line, before the player is taken from the tune."""
    bench = Bench()
    bench.playing.act(Action.PLAY)
    with pytest.raises(UserError, match="thumb does not move"):
        crossing_over(bench.playing, D_TO_E, Delay(Finger.THUMB, 40.0))
    assert bench.playing.state.playing
