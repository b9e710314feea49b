"""Whatever a user, a touch screen and a system may send to the window, in any order.

``python -m tests.companion.window.any_events [--events N] [--seed N]`` sends so many, and says what was seen; an error
comes with the start of the random numbers, the number and the last of the events that led to it.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
from collections import Counter, deque
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path

import pygame

from companion.commands.shared.library import transposed
from companion.midi.maps.keys import KEYS_MAP
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.midi.stream.line import Timed
from companion.midi.stream.messages import NoteOff, NoteOn
from companion.midi.takes.reading import Take, read_take
from companion.schedule.build import build_schedule
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import Shelf
from companion.window.choosing_navigation import choose_tune
from companion.window.class_navigation import CLASS_NAVIGATION, class_over
from companion.window.classroom.class_screen import ClassScreen
from companion.window.core.actions import Action
from companion.window.core.display import Display
from companion.window.core.marks import Picture, Style
from companion.window.core.screen import Beneath, Screen, ScreenResult
from companion.window.embellishment_navigation import EMBELLISHMENT_NAVIGATION
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.navigation import CROSSING_NAVIGATION
from companion.window.play.learn_screen import LearnScreen, hole_lesson, note_lesson
from companion.window.play.play_screen import PlayScreen
from companion.window.playing_navigation import PLAYING_NAVIGATION, take_over
from companion.window.sheet.sheet_screen import SheetScreen
from companion.window.shell import Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.any_user import AnyUser, Event, files_to_drop
from tests.companion.window.choose.choosing import OURS
from tests.companion.window.players import Clock, Feed, write_take
from tests.companion.window.staff.plain_staff import PlainStaff

BETWEEN_FRAMES = 6
"""So many events come at most before a frame: a hand is not as fast, a system that was busy is."""


def empty(picture: Picture) -> bool:
    """Whether a picture lacks what each screen has: large words, others besides its keys, all of them in sight."""
    words = [label for label in scenes.labels(picture) if label.text and 0 <= label.y < picture.height]
    large = [label for label in words if label.style in (Style.HUGE, Style.LARGE, Style.MEDIUM)]
    large = large or [label for label in words if label.style is Style.SECOND]  # the largest where a review is low
    keys = {target.rect for target in picture.targets if isinstance(target.intent, Action)}
    others = [label for label in words if not any(rect.holds(label.x, label.y) for rect in keys)]
    return not large or len(others) <= len(large)


def hides_all(screen: Screen) -> bool:
    """Whether a screen shows nothing but the chanter, so that all look at their teacher."""
    screen = screen.beneath if isinstance(screen, SheetScreen) else screen
    return isinstance(screen, ClassScreen) and screen.state.hidden


Start = Callable[[PlayScreen, Take], Sequence[Screen]]
"""Makes the screens that lie over the playing screen, from the lowest to the top one."""

WAYS = {**CROSSING_NAVIGATION, **PLAYING_NAVIGATION, **EMBELLISHMENT_NAVIGATION, **CLASS_NAVIGATION}


def _by(action: Action) -> Start:
    def opened(screen: PlayScreen, take: Take) -> Sequence[Screen]:
        over = screen.chooser(screen) if action is Action.TUNES else WAYS[action](screen)
        return (over,) if over else ()

    return opened


def _unjudged(screen: PlayScreen, take: Take) -> Sequence[Screen]:
    return (take_over(screen, take),)


def _review(screen: PlayScreen, take: Take) -> Sequence[Screen]:
    opened = take_over(screen, take)
    opened.finish_review()
    return (opened,)


def _verdict(screen: PlayScreen, take: Take) -> Sequence[Screen]:
    (review,) = _review(screen, take)
    verdict = review.act(Action.VERDICT)
    assert not isinstance(verdict, ScreenResult | Beneath)
    return review, verdict


def _class(screen: PlayScreen, take: Take) -> Sequence[Screen]:
    """Four learners of whom one plays without end."""
    opened = class_over(screen)
    for name in ("Anna", "Ben", "Cara", "Dougal"):
        feed = Feed(name)
        feed.play(*(Timed(screen.live.clock() + 0.1 * rank, NoteOn(0, 69 + rank % 3)) for rank in range(400)))
        live = LiveInput(None, LiveSound(), screen.live.clock, name)
        live.choice.follow(feed, DEFAULT_MAP)
        opened.room.welcome(live)
    return (opened,)


STARTS: Mapping[str, Start] = {
    "the tune": lambda screen, take: (),
    "a take before it is judged": _unjudged,
    "a review": _review,
    "a verdict": _verdict,
    "learning notes": lambda screen, take: (LearnScreen(screen, note_lesson()),),
    "learning holes": lambda screen, take: (LearnScreen(screen, hole_lesson()),),
    "a class that plays": _class,
    **{action.value: _by(action) for action in (Action.TUNES, *WAYS)},
}


class AnyWindow:
    """A window with all that belongs to it, on clocks that run as it is driven; it is opened anew once the user left.

    folder: where takes and what can be dropped are kept.
    """

    def __init__(self, folder: Path, seed: int, starts: Sequence[Start]) -> None:
        self._draw = random.Random(seed)
        self._starts = starts
        self._clock, self._tune_clock, self._feed = Clock(100.0), Clock(), Feed()
        tune, timing = scenes.tune(), Timing()
        path = write_take(folder / "takes", tune, build_schedule(tune, timing), timing, KEYS_MAP)
        self._take = read_take(path)
        self._folder = folder
        self._user = AnyUser(self._draw, files_to_drop(folder / "dropped"))
        self.seen: Counter[str] = Counter()
        self.sent = 0
        self.latest: deque[Event] = deque(maxlen=4 * BETWEEN_FRAMES)
        self._open()

    def _open(self) -> None:
        self._live = LiveInput(self._folder / "played", LiveSound(), self._clock)
        if self._draw.random() < 0.5:
            self._live.choice.follow(self._feed, DEFAULT_MAP)
        choose = partial(choose_tune, refit=transposed, shelf=Shelf(OURS, RecentKeeper(None)))
        self._screen = PlayScreen(
            scenes.state(), SilentPlayer(self._tune_clock), choose, WAYS, self._live, staff=PlainStaff()
        )
        self.shell = Shell(self._screen, Display(), WindowSize(800, 600), self._clock)
        if self._draw.random() < 0.3:
            self.shell.introduce()
        self._elsewhere()

    def _elsewhere(self) -> None:
        """Back to the tune, and from there to one of the places where it starts."""
        self.shell._close_to_first()
        for screen in self._draw.choice(self._starts)(self._screen, self._take):
            self.shell.put(screen)
        self.shell.draw()

    def send(self, events: int) -> None:
        """Send so many, a few a frame; no picture is empty, and nothing but the user ends the program."""
        until = self.sent + events
        while self.sent < until:
            waiting = [event for _ in range(self._draw.randrange(1, BETWEEN_FRAMES)) for event in self._user.next()]
            for event in waiting:
                pygame.event.post(event)
            self.latest.extend(waiting)
            self.sent += len(waiting)
            self._pass_time()
            if not self.shell.frame():
                assert any(map(_may_leave, waiting)), "the program ended by itself"
                self.close()
                self._open()
            assert self.shell.picture is not None
            assert hides_all(self.shell.top) or not empty(self.shell.picture)
            self.seen[type(self.shell.top).__name__] += 1

    def _pass_time(self) -> None:
        """Time goes on in steps of which some are long; an instrument plays."""
        step_s = self._draw.choice((0.0, 0.016, 0.016, 0.1, 0.6, 5.0))
        self._clock.now_s += step_s
        self._tune_clock.now_s += step_s
        if self._draw.random() < 0.3:
            kind = self._draw.choice((NoteOn, NoteOff))
            self._feed.play(Timed(self._clock.now_s, kind(0, self._draw.randrange(50, 90))))
        if self._draw.random() < 0.04:
            self._elsewhere()
        self._screen.listen_in()

    def close(self) -> None:
        """Close the window; what still waits to be read is meant for nobody."""
        self.shell.close()
        pygame.event.clear() if pygame.display.get_init() else None


def _may_leave(event: Event) -> bool:
    """Whether a user may mean by it that the program is to end: Esc, its key on the screen, or its row of the sheet."""
    if event.type == pygame.KEYDOWN:
        return event.key in (pygame.K_ESCAPE, pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_LEFT, pygame.K_RIGHT)
    return bool(event.type == pygame.MOUSEBUTTONDOWN)


def main() -> int:
    """Send events, and print which screens were seen in how many frames. Returns 1 where something failed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--events", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    os.environ["SDL_VIDEODRIVER"] = "dummy"
    with tempfile.TemporaryDirectory() as folder:
        for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME"):
            os.environ[name] = folder
        window = AnyWindow(Path(folder), options.seed, tuple(STARTS.values()))
        try:
            window.send(options.events)
        except BaseException:
            print(f"seed {options.seed}, after {window.sent} events; seen {dict(window.seen)}; the last of them:")
            print(*window.latest, sep="\n")
            raise
        window.close()
    print(f"{window.sent} events; frames on each screen: {dict(window.seen)}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
