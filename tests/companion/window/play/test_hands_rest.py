"""The reminder to rest the hands: when it comes, when it goes, and how it is seen.

All times are on a test's own clock.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.marks import Role
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.tools.hands_rest import LONGEST_FRAME_S, PLAYED_S, RESTED_S, SAID, HandsRest
from fingering.notes import Note
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock, Feed

SIZE = (1280, 720)
MINUTE_S = 60.0
LOW_A = DEFAULT_MAP.number(Note.LOW_A)


def told(hands: HandsRest, seconds: float, *, playing: bool, frame_s: float = 0.5) -> HandsRest:
    """After so long, frame by frame."""
    begun_s = hands.at_s or 0.0
    for rank in range(round(seconds / frame_s) + 1):
        hands = hands.after(begun_s + rank * frame_s, playing=playing)
    return hands


def test_it_is_due_after_25_minutes_of_playing() -> None:
    """Not before."""
    almost = told(HandsRest(), PLAYED_S - 1.0, playing=True)
    assert (almost.due, told(almost, 1.0, playing=True).due) == (False, True)


def test_short_pauses_do_not_count_and_do_not_rest_the_hands() -> None:
    """Two minutes without playing leave what was played before as it was."""
    hands = told(HandsRest(), PLAYED_S / 2, playing=True)
    hands = told(hands, RESTED_S - 1.0, playing=False)
    assert hands.played_s == pytest.approx(PLAYED_S / 2)
    assert told(hands, PLAYED_S / 2, playing=True).due


def test_a_rest_of_three_minutes_begins_anew() -> None:
    """Whether it was due or not."""
    for played_s in (PLAYED_S / 2, PLAYED_S):
        rested = told(told(HandsRest(), played_s, playing=True), RESTED_S, playing=False)
        assert (rested.due, rested.played_s) == (False, 0.0)


def test_a_computer_that_slept_did_not_play() -> None:
    """A night between two frames is a rest."""
    hands = told(HandsRest(), PLAYED_S / 2, playing=True)
    woken = hands.after((hands.at_s or 0.0) + 8 * 60 * MINUTE_S, playing=True)
    assert woken.played_s == 0.0
    short = hands.after((hands.at_s or 0.0) + LONGEST_FRAME_S + 1.0, playing=True)
    assert short.played_s == hands.played_s


def test_once_seen_it_comes_again_after_as_long() -> None:
    """Of playing."""
    seen = told(HandsRest(), PLAYED_S, playing=True).seen()
    assert not seen.due
    assert not told(seen, PLAYED_S - 1.0, playing=True).due
    assert told(seen, PLAYED_S, playing=True).due


class Bench:
    """A playing screen, an instrument if wanted, and a clock that a test moves."""

    def __init__(self, folder: Path, *, instrument: bool) -> None:
        self.clock, self.feed = Clock(), Feed()
        self.live = LiveInput(folder, LiveSound(), self.clock)
        if instrument:
            self.live.choice.follow(self.feed, DEFAULT_MAP)
        self.screen = PlayScreen(scenes.state(), SilentPlayer(self.clock), choose_tune, live=self.live)

    def minutes(self, many: float, *, playing: bool = False) -> None:
        """So many minutes, looked at twice a second; playing: a note every two seconds is played in."""
        for rank in range(round(many * 120)):
            self.clock.now_s += 0.5
            if playing and rank % 4 == 0:
                self.feed.play(Timed(self.clock.now_s, NoteOn(0, LOW_A)), Timed(self.clock.now_s, NoteOff(0, LOW_A)))
            self.screen.listen_in()

    def line(self) -> list[Role]:
        """In which roles the reminder is read, none where it is not."""
        picture = self.screen.picture(Canvas(*SIZE, Display(), lettering_for(SIZE, Display())))
        return [label.role for label in scenes.labels(picture) if label.text == SAID]


def test_a_window_that_is_open_plays_nothing(tmp_path: Path) -> None:
    """An hour of it, with and without an instrument."""
    for instrument in (False, True):
        bench = Bench(tmp_path, instrument=instrument)
        bench.minutes(60)
        assert bench.line() == []


def test_it_is_one_calm_line_and_esc_takes_it_as_seen(tmp_path: Path) -> None:
    """It is no fault; the program goes on, and the next Esc asks to end it as ever."""
    bench = Bench(tmp_path, instrument=True)
    bench.minutes(24, playing=True)
    assert bench.line() == []
    bench.minutes(1.1, playing=True)
    assert bench.line() == [Role.QUIET]
    assert bench.screen.act(Action.LEAVE) is ScreenResult.STAY
    assert bench.line() == []
    assert bench.screen.act(Action.LEAVE) is ScreenResult.QUIT


def test_it_goes_by_itself_once_the_hands_have_rested(tmp_path: Path) -> None:
    """After three minutes and what still counts as a pause between phrases."""
    bench = Bench(tmp_path, instrument=True)
    bench.minutes(25.1, playing=True)
    assert bench.line() == [Role.QUIET]
    bench.minutes(3.3)
    assert bench.line() == []


def test_a_tune_that_runs_counts_where_no_instrument_is_heard(tmp_path: Path) -> None:
    """Whoever plays along on a plain chanter plays as long as it runs; with an instrument its notes count."""
    for instrument, lines in ((False, [Role.QUIET]), (True, [])):
        bench = Bench(tmp_path, instrument=instrument)
        bench.screen.act(Action.PLAY)
        bench.minutes(25.1)
        assert bench.line() == lines
