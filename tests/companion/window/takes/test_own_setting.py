"""In the review of a take: saying that what is played otherwise is one's own setting, and taking it back."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.files.folders import OVERRIDE
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.takes.own_settings import OwnSettings, own_settings_path
from companion.midi.takes.reading import Take, read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.setting import Change, in_setting
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.core.display import Print
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from companion.window.takes.take_moves import NO_SETTING, SETTING_SAID, SETTING_TAKEN_BACK
from companion.window.takes.take_screen import TakeScreen
from companion.window.takes.take_state import open_take
from fingering.notes import Note
from tests.companion.listen.playing import tune_of
from tests.companion.window import scenes
from tests.companion.window.players import Clock, write_take
from tests.companion.window.takes.reviewing import canvas, words_of

TUNE = tune_of("|:A2{g}B2{d}c2e2|{g}f2e2{g}c2d2|{Gdc}d2{g}e2f2{g}e2|{g}c2A2{gBd}B2A2:|")
B_FOR_C = Change(6, Note.C, Note.B, (Note.HIGH_G,))
D_FOR_E = Change(3, Note.E, Note.D)


def take_in(folder: Path, *setting: Change) -> Take:
    """A take of the tune in a setting."""
    timing = Timing()
    return read_take(write_take(folder, TUNE, build_schedule(in_setting(TUNE, setting), timing), timing, DEFAULT_MAP))


def opened(take: Take, own: OwnSettings) -> TakeScreen:
    """Return the review of a take, once the take is judged."""
    screen = TakeScreen(open_take(take, (TUNE,)), SilentPlayer(Clock()), lambda: None, None, own)
    screen.finish_review()
    return screen


def count(screen: TakeScreen) -> int:
    """How many findings there are."""
    assert screen.state.review is not None
    return len(screen.state.review.findings)


@pytest.fixture
def own(tmp_path: Path) -> OwnSettings:
    """The learner's settings, none yet."""
    return OwnSettings(tmp_path / "own.json")


def test_y_says_that_it_is_ones_setting_and_holds_for_later_takes(tmp_path: Path, own: OwnSettings) -> None:
    """It is judged anew and nothing is found; so is the next take, in a program that is begun anew."""
    screen = opened(take_in(tmp_path, B_FOR_C), own)
    assert count(screen) == 2
    assert "my setting: 1 note" in words_of(screen.picture(canvas()))
    screen.act(Action.OWN_SETTING)
    assert screen.state.notice == SETTING_SAID
    screen.finish_review()
    assert count(screen) == 0
    words = words_of(screen.picture(canvas()))
    assert "in your setting: B for C in bar 2" in words
    assert "ask as written" in words
    assert count(opened(take_in(tmp_path, B_FOR_C), OwnSettings(tmp_path / "own.json"))) == 0


def test_y_once_more_takes_it_back(tmp_path: Path, own: OwnSettings) -> None:
    """The tune is asked as it is written, in the lanes as well."""
    screen = opened(take_in(tmp_path, B_FOR_C), own)
    for _ in range(2):
        screen.act(Action.OWN_SETTING)
        screen.finish_review()
    assert screen.state.notice == SETTING_TAKEN_BACK
    assert count(screen) == 2
    assert own.of(TUNE) == ()
    assert screen.state.asked is not None
    assert [each.note for each in screen.state.asked.schedule.played][:16] == list(TUNE.notes)


def test_at_a_finding_y_says_it_of_that_change_alone(tmp_path: Path, own: OwnSettings) -> None:
    """The others are still asked about."""
    screen = opened(take_in(tmp_path, D_FOR_E, B_FOR_C), own)
    screen.look_at(0)
    assert "that is my setting" in words_of(screen.picture(canvas()))
    screen.act(Action.OWN_SETTING)
    screen.finish_review()
    assert own.of(TUNE) == (D_FOR_E,)
    assert count(screen) == 2
    screen.act(Action.OWN_SETTING)
    assert own.of(TUNE) == (D_FOR_E, B_FOR_C)


def test_where_nothing_is_played_otherwise_y_says_so(tmp_path: Path, own: OwnSettings) -> None:
    """Its key does not stand at the foot."""
    screen = opened(take_in(tmp_path), own)
    assert "setting" not in words_of(screen.picture(canvas()))
    screen.act(Action.OWN_SETTING)
    assert screen.state.notice == NO_SETTING


def test_without_a_home_it_holds_while_the_program_runs(tmp_path: Path) -> None:
    """One line says that the setting holds until the program ends."""
    own = OwnSettings(None)
    screen = opened(take_in(tmp_path, B_FOR_C), own)
    screen.act(Action.OWN_SETTING)
    assert "until the program ends" in screen.state.notice
    assert count(opened(take_in(tmp_path, B_FOR_C), own)) == 0


def test_a_spoilt_file_of_settings_is_told_where_a_tune_is_played(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One line says so as soon as the tune runs, since it is then listened to as it is written."""
    monkeypatch.setenv(OVERRIDE, str(tmp_path))
    own_settings_path().write_text("no settings", encoding="utf-8")
    live = LiveInput(tmp_path, LiveSound(), Clock())
    screen = PlayScreen(first_state((TUNE,), TUNE, Timing()), SilentPlayer(Clock()), choose_tune, live=live)
    assert not any(screen.troubles)
    screen.act(Action.PLAY)
    screen.listen_in()
    assert [line for line in screen.troubles if "own-settings" in line]


@pytest.mark.parametrize("size", scenes.SIZES)
@pytest.mark.parametrize("print_size", scenes.PRINTS)
def test_no_words_overlap_or_leave_the_window(
    tmp_path: Path, own: OwnSettings, size: tuple[int, int], print_size: Print
) -> None:
    """Before it is said, and after."""
    screen = opened(take_in(tmp_path, D_FOR_E, B_FOR_C), own)
    shown = canvas(size, print_size)
    screen.act(Action.START)
    before = screen.picture(shown)
    screen.act(Action.OWN_SETTING)
    screen.finish_review()
    screen.act(Action.START)
    for picture in (before, screen.picture(shown)):
        for label, rect in scenes.assert_apart(picture, shown.measure):
            assert 0 <= rect.y < rect.bottom <= size[1], label.text
            assert 0 <= rect.x < rect.right <= size[0], label.text
