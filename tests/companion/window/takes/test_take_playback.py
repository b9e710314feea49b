"""A take played back in the window."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.reading import list_takes, read_take
from companion.schedule.events import EventKind
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action, Pick, Seek
from companion.window.core.display import Display
from companion.window.core.marks import Dot, FingerMark, Picture, Role, Stripe
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.lanes.trail import Moment
from companion.window.play.play_screen import PlayScreen
from companion.window.playing_navigation import take_over
from companion.window.takes.take_moves import update_take
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import TakeState, heard_s, heard_schedule, open_take, taken_s
from companion.window.takes.take_view import TakeView
from companion.window.takes.takes_screen import TakesScreen
from fingering.holes import Finger
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock, write_take

SIZE = (1280, 720)
OTHER_ABC = scenes.ABC.replace("T:Nets on the Slip", "T:Another").replace("{g}A3", "{g}B3")


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A take of the tune of these tests, finger by finger."""
    state = scenes.state()
    return write_take(tmp_path_factory.mktemp("takes"), state.tune, state.schedule, state.timing, KEYS_MAP)


def picture(path: Path, at_s: float, tunes: tuple[Tune, ...] = (), size: tuple[int, int] = SIZE) -> Picture:
    """The take's screen."""
    state = open_take(read_take(path), tunes)
    return TakeView(lettering_for(size, Display())).picture(state, Display(), at_s, *size)


def middles(state: TakeState) -> list[tuple[Moment, float]]:
    """Each moment that lasted, and the middle of its time."""
    pairs = pairwise(state.moments)
    return [(moment, (moment.at_s + after.at_s) / 2) for moment, after in pairs if after.at_s > moment.at_s]


def test_a_take_finds_the_tune_of_which_it_is(path: Path) -> None:
    """By the notes, not by the title, which may have changed since."""
    take = read_take(path)
    other, renamed = scenes.tune(OTHER_ABC), replace(scenes.tune(), title="Under another name")
    asked = open_take(take, (other, renamed)).asked
    assert asked is not None
    assert asked.tune is renamed
    assert open_take(take, (other,)).asked is None


def test_what_was_asked_is_timed_as_it_was_then(path: Path) -> None:
    """In the timing that the take's heading tells."""
    asked = open_take(read_take(path), (scenes.tune(),)).asked
    assert asked is not None
    assert asked.schedule == scenes.state().schedule


def test_playing_back_sounds_what_was_played(path: Path) -> None:
    """In the middle of each moment of the take, the state that sounds is the one that was played."""
    state = open_take(read_take(path), ())
    schedule = heard_schedule(state)
    for moment, middle_s in middles(state):
        heard = schedule.states[schedule.state_index_at(heard_s(state, middle_s))]
        assert heard.state == moment.state
        assert heard.kind is (EventKind.REST if moment.note is None else EventKind.MELODY)


@pytest.mark.parametrize("slow_down", [1.0, 3.0, 32.0])
def test_slowing_down_stretches_all_alike(path: Path, slow_down: float) -> None:
    """Gracenotes too: a take is not timed again, it is played slower."""
    state = replace(open_take(read_take(path), (scenes.tune(),)), take_slow_down=slow_down)
    plain, slow = heard_schedule(replace(state, take_slow_down=1.0)), heard_schedule(state)
    assert slow.duration_s == pytest.approx(plain.duration_s * slow_down)
    assert [each.at_s for each in slow.states] == pytest.approx([each.at_s * slow_down for each in plain.states])
    assert [each.at_s for each in slow.beats] == pytest.approx([each.at_s * slow_down for each in plain.beats])
    assert taken_s(state, heard_s(state, 4.2)) == pytest.approx(4.2)


def test_a_step_goes_through_every_change_once(path: Path) -> None:
    """On to the end and back to the beginning."""
    state = open_take(read_take(path), ())
    seen = [state.begin_s]
    for _ in range(len(state.moments) + 5):
        state = update_take(state, Action.ON, state.position_s)
        seen.append(state.position_s)
    assert set(seen) == {each.at_s for each in state.moments if each.at_s >= state.begin_s}
    for _ in range(len(state.moments) + 5):
        state = update_take(state, Action.BACK, state.position_s)
    assert state.position_s == state.begin_s


def test_a_click_outside_the_take_goes_to_its_edge(path: Path) -> None:
    """Not beyond."""
    state = open_take(read_take(path), ())
    assert update_take(state, Seek(-50.0), 1.0).position_s == state.begin_s
    assert update_take(state, Seek(1e6), 1.0).position_s == state.take.end_s


def test_the_fingers_are_those_that_played(path: Path) -> None:
    """At moments all over the take, each finger is down where the player's was."""
    state = open_take(read_take(path), ())
    for moment, middle_s in middles(state)[::9]:
        marks = sorted((m for m in picture(path, middle_s).moving if isinstance(m, FingerMark)), key=lambda m: m.y)
        assert [mark.lift == 0.0 for mark in marks] == [moment.state.closed(finger) for finger in Finger]


def test_what_was_asked_is_shown_only_where_the_tune_is_known(path: Path) -> None:
    """Without it the take's own lines are the lanes."""
    for tunes in ((), (scenes.tune(),)):
        marks = picture(path, 5.0, tunes).moving
        asked = [mark for mark in marks if isinstance(mark, Stripe) and mark.role is not Role.PLAYED]
        played = [mark for mark in marks if isinstance(mark, Stripe) and mark.role is Role.PLAYED]
        assert played
        assert bool(asked) == bool(tunes)
        assert bool([mark for mark in marks if isinstance(mark, Dot)]) == bool(tunes)  # beats


@pytest.mark.parametrize("size", scenes.SIZES)
def test_no_words_overlap(path: Path, size: tuple[int, int]) -> None:
    """At three sizes, with the tune and without."""
    measure = lettering_for(size, Display())
    for tunes in ((), (scenes.tune(),)):
        scenes.assert_apart(picture(path, 5.0, tunes, size), measure)


class Played:
    """A take's screen over a playing screen, on a clock that a test moves."""

    def __init__(self, path: Path) -> None:
        self.clock = Clock()
        self.beneath = PlayScreen(scenes.state(), SilentPlayer(self.clock), choose_tune)
        self.screen: TakeScreen = take_over(self.beneath, read_take(path))


@pytest.fixture
def played(path: Path) -> Played:
    """The screen of the take of these tests."""
    return Played(path)


def test_playing_back_moves_with_the_players_clock(played: Played) -> None:
    """A second of it is a second of the take, and half of one when it is twice as slow."""
    played.screen.act(Action.PLAY)
    played.clock.now_s += 2.0
    assert played.screen.position_s() == pytest.approx(2.0, abs=0.01)
    for _ in range(2):
        played.screen.act(Action.SLOWER)
    assert played.screen.state.slow_down == 2.0
    before_s = played.screen.position_s()
    played.clock.now_s += 2.0
    assert played.screen.position_s() - before_s == pytest.approx(1.0, abs=0.01)


def test_at_its_end_a_take_stops_and_stands_at_its_start(played: Played) -> None:
    """Ready to be played again."""
    played.screen.act(Action.PLAY)
    played.clock.now_s += 1000.0
    played.screen.tick()
    assert not played.screen.state.playing
    assert played.screen.position_s() == played.screen.state.begin_s


def test_the_player_goes_back_to_the_tune(played: Played) -> None:
    """Which stands where it stood."""
    played.screen.act(Action.PLAY)
    assert played.screen.act(Action.LEAVE) is ScreenResult.CLOSE
    played.screen.close()
    played.beneath.act(Action.PLAY)
    played.clock.now_s += 1.0
    first_s = played.beneath.state.schedule.events[0].start_s
    assert played.beneath.position_s() == pytest.approx(first_s + 1.0, abs=0.01)


def test_the_list_shows_the_latest_take_first_and_opens_it(tmp_path: Path) -> None:
    """Files that are no takes cost a line."""
    state = scenes.state()
    for known in (KEYS_MAP, DEFAULT_MAP):
        write_take(tmp_path, state.tune, state.schedule, state.timing, known)
    (tmp_path / "spoilt.mid").write_bytes(b"MThd")
    opened = []
    listing = list_takes(tmp_path)
    screen = TakesScreen(listing, str(tmp_path), lambda take: opened.append(take.path))
    shown = screen.picture(Canvas(*SIZE, Display(), lettering_for(SIZE, Display())))
    assert any("spoilt.mid" in label.text and label.role is Role.FAULT for label in scenes.labels(shown))
    screen.act(Action.TEMPO_DOWN)
    screen.act(Action.CHOOSE)
    screen.act(Pick(0))
    assert opened == [listing.takes[0].path, listing.takes[1].path]
    assert screen.act(Action.LEAVE) is ScreenResult.CLOSE
