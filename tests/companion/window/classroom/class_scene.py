"""The class screen on the tune of these tests, its learners played by feeds, on clocks that a test moves."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.player import SilentPlayer
from companion.window.choosing_navigation import choose_tune
from companion.window.class_navigation import class_over
from companion.window.classroom.class_screen import ClassScreen
from companion.window.classroom.class_words import Words
from companion.window.core.actions import Action, Typed
from companion.window.core.screen import Screen, ScreenResult
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from tests.companion.window import scenes
from tests.companion.window.players import Clock, Feed, notes_of

FRAME_S = 1.0 / 30.0
LATE_FROM_S, LATE_TO_S = 2.0, 2.6
MANY = ("Anna", "Ben", "Cara", "Dougal", "Eilidh", "Fionn", "Griogair Mac an t-Saoir", "Hamish")


def _late(timed: Timed, late_s: float) -> Timed:
    return replace(timed, at_s=timed.at_s + late_s) if LATE_FROM_S <= timed.at_s < LATE_TO_S else timed


class ClassStage:
    """A class of so many, and all that belongs to it."""

    def __init__(
        self, count: int = 4, timing: Timing | None = None, folder: Path | None = None, tune: Tune | None = None
    ) -> None:
        self.clock = Clock(100.0)
        self.live = LiveInput(folder, LiveSound(), self.clock)
        shown = tune or scenes.tune()
        state = first_state((shown,), shown, timing or Timing(slow_down=2.0))
        self.beneath = PlayScreen(state, SilentPlayer(self.clock), choose_tune, live=self.live)
        self.screen: ClassScreen = class_over(self.beneath)
        self.feeds: dict[str, Feed] = {}
        for name in MANY[:count]:
            feed = self.feeds[name] = Feed(f"Chanter of {name}")
            live = LiveInput(folder, LiveSound(), self.clock, name)
            live.choice.follow(feed, DEFAULT_MAP)
            self.screen.room.welcome(live)

    def run(self, seconds: float, late_s: Sequence[float] = (), each_frame: Callable[[], None] = lambda: None) -> None:
        """The tune runs for so long, played along with by all of them; in LATE_FROM_S to LATE_TO_S some are late."""
        schedule = build_schedule(self.screen.stage.state.tune, self.screen.stage.state.timing)
        notes = list(notes_of(schedule, late_s=0.0))
        if not self.screen.stage.state.playing:
            self.screen.act(Action.PLAY)
            self.screen.listen_in()
        until_s, before_s = self.clock.now_s + seconds, self.screen.stage.position_s() - 1e-6
        while self.clock.now_s < until_s:
            self.clock.now_s += FRAME_S
            now_s = self.screen.stage.position_s()
            if now_s < before_s:
                before_s = now_s - FRAME_S
            for rank, feed in enumerate(self.feeds.values()):
                late = late_s[rank] if rank < len(late_s) else 0.0
                moved = (each if late == 0.0 else _late(each, late) for each in notes)
                due = sorted((each for each in moved if before_s < each.at_s <= now_s), key=lambda each: each.at_s)
                for each in due:
                    feed.play(Timed(self.clock.now_s - (now_s - each.at_s), each.message))
            self.screen.listen_in()
            self.screen.tick()
            each_frame()
            before_s = now_s

    def stop(self) -> None:
        """The tune stops, and all that was played is heard once more."""
        if self.screen.stage.state.playing:
            self.screen.act(Action.PLAY)
        self.screen.listen_in()
        for live in self.screen.room.learners:
            live.ear.wait()


def fast() -> Timing:
    """The tune at its own tempo and half as fast again."""
    return replace(Timing(), beats_per_minute=90.0)


WORDY = Words(
    "Griogair Mac an t-Saoir",
    ("The gracenotes are there: 126 of 131.", "The fingers move together: 240 of 244 movements were clean."),
    "In bars 2, 3 and 7 the ring finger of the upper hand comes later than the others, and a high G is heard between "
    "E and C: lift it with them.",
)
"""As many words as there may be."""


def class_of(count: int, *actions: Action, words: Words | None = None) -> ClassScreen:
    """A class of so many that has played for a while, after some actions."""
    stage = ClassStage(count)
    stage.run(3.3)
    for action in actions:
        stage.screen.act(action)
    if words:
        stage.screen.words = lambda live: words
    return stage.screen


@cache
def players(count: int, *typed: str) -> Screen:
    """The list of who plays on which port, of so many ports, with something typed."""
    screen = class_of(count).act(Action.INSTRUMENT)
    assert not isinstance(screen, ScreenResult)
    for text in typed:
        screen.act(Typed(text))
    return screen


def class_scenes() -> Mapping[str, Callable[[], Screen]]:
    """Classes in every state that looks otherwise."""
    classes = {f"a class of {count}": cache(partial(class_of, count)) for count in (0, 1, 4, 5, 8)}
    return {
        **classes,
        "a class that looks at its teacher": cache(partial(class_of, 4, Action.HIDE)),
        "a class led on": cache(partial(class_of, 2, Action.PHRASE_ON)),
        "a class, nothing to tell yet": cache(partial(class_of, 4, Action.CHOOSE)),
        "a class, words for one": cache(partial(class_of, 8, Action.TEMPO_DOWN, Action.CHOOSE, words=WORDY)),
        "no players": partial(players, 0),
        "players": partial(players, 8, "Mairi"),
        "a player with a long name": partial(players, 3, "q" * 60),
    }
