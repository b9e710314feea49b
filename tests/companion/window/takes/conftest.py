"""A take to be reviewed, and the screen that reviews it."""

from __future__ import annotations

import pytest

from companion.midi.maps.keys import KEYS_MAP
from companion.midi.takes.reading import Take, read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.play.play_screen import PlayScreen
from companion.window.playing_navigation import take_over
from companion.window.takes.take_screen import TakeScreen
from tests.companion.window import scenes
from tests.companion.window.players import Clock, write_take


@pytest.fixture(scope="module")
def tune() -> Tune:
    """The tune of these tests."""
    return scenes.tune()


@pytest.fixture(scope="module")
def take(tune: Tune, tmp_path_factory: pytest.TempPathFactory) -> Take:
    """It was played finger by finger, each finger up to 60 ms late: there is much to find."""
    timing = Timing()
    folder = tmp_path_factory.mktemp("takes")
    return read_take(write_take(folder, tune, build_schedule(tune, timing), timing, KEYS_MAP))


@pytest.fixture
def clock() -> Clock:
    """The silent player's clock."""
    return Clock()


@pytest.fixture
def screen(take: Take, clock: Clock) -> TakeScreen:
    """The take over the playing screen, judged."""
    beneath = PlayScreen(scenes.state(), SilentPlayer(clock), choose_tune)
    opened = take_over(beneath, take)
    opened.finish_review()
    return opened
