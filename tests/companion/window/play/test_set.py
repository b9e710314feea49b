"""A set on the playing screen: added to from the list while a tune plays, shown, played through, taken apart."""

from __future__ import annotations

import pytest

from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.sound.player import SilentPlayer
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import OurTunes, Shelf
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.screen import Canvas, ScreenResult
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from tests.companion.window import scenes
from tests.companion.window.lettered import lettering_for
from tests.companion.window.players import Clock

SIZE = (1280, 720)
ABC = "X:{x}\nT:{title}\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\n{music}\n"
HOOK = scenes.tune(ABC.format(x=1, title="Hook", music="e2|A2 c2 c2 e2|e4 A2:|"))
LINE = read_abc_text(ABC.format(x=2, title="Line", music="c2|e2 c2 c2 A2|c4 e2|]"), "line.abc").tunes[0]


class Bench:
    """A tune that plays, and the list over it."""

    def __init__(self) -> None:
        self.clock = Clock()
        live = LiveInput(None, LiveSound(), self.clock)
        state = first_state((HOOK, LINE), HOOK, Timing())
        self.screen = PlayScreen(state, SilentPlayer(self.clock), choose_tune, live=live)
        self.list = choose_tune(self.screen, shelf=Shelf(OurTunes((HOOK, LINE)), RecentKeeper(None)))
        self.screen.act(Action.PLAY)

    def add(self, title: str) -> None:
        """Mark the row of that title, and let it follow."""
        for move in [Action.TEMPO_UP] * 4 + [Action.TEMPO_DOWN] * 4:
            if self.list.state.marked is not None and self.list.state.marked.name == title:
                break
            self.list.act(move)
        assert self.list.act(Action.ON) is ScreenResult.STAY

    def words(self) -> str:
        """All that is read on the playing screen."""
        canvas = Canvas(*SIZE, Display(), lettering_for(SIZE, Display()))
        return " ".join(label.text for label in scenes.labels(self.screen.picture(canvas)))


def test_a_tune_follows_without_a_stop() -> None:
    """What plays goes on where it stands, and the next one comes when it is due; the list says the set."""
    bench = Bench()
    bench.clock.now_s += 3.0
    bench.add("Line")
    assert bench.list.told.words == "the set: Hook, then Line"
    assert bench.screen.position_s() == pytest.approx(3.0)
    assert "Hook, then Line" in bench.words()
    hook_s = 16.0
    bench.clock.now_s = hook_s + 0.5
    assert bench.screen.state.playing
    assert "then Line" not in bench.words()
    assert "Line" in bench.words()


def test_a_set_that_is_repeated_begins_again_with_its_first_tune() -> None:
    """The whole of it goes round, as a tune does."""
    bench = Bench()
    bench.add("Line")
    bench.clock.now_s += bench.screen.state.schedule.duration_s + 1.0
    assert bench.screen.position_s() == pytest.approx(1.0)


def test_the_last_one_is_taken_out_again() -> None:
    """Until one tune is left, as it was; nothing more can be taken out."""
    bench = Bench()
    bench.add("Line")
    bench.add("Hook")
    assert [each.title for each in bench.screen.state.row] == ["Hook", "Line", "Hook"]
    bench.clock.now_s += 2.0
    for left in (["Hook", "Line"], [], []):
        bench.list.act(Action.BACK)
        assert [each.title for each in bench.screen.state.row] == left
        assert bench.screen.position_s() == pytest.approx(2.0)
    assert bench.screen.state.tune is HOOK
    assert "the set" not in bench.list.told.words


def test_a_tune_that_is_taken_out_while_it_plays_leaves_the_first() -> None:
    """At its start."""
    bench = Bench()
    bench.add("Line")
    bench.clock.now_s += 20.0
    bench.list.act(Action.BACK)
    assert bench.screen.position_s() == 0.0


def test_a_tune_that_is_chosen_ends_the_set() -> None:
    """It is played alone."""
    bench = Bench()
    bench.add("Line")
    bench.list.act(Action.CHOOSE)
    assert (bench.screen.state.tune, bench.screen.state.row) == (LINE, ())
