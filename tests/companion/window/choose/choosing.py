"""Lists of tunes for these tests: a playing screen on one of our tunes, files of one's own, and what can be chosen."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from pathlib import Path

from companion.commands.shared.library import transposed
from companion.commands.shared.tune_list import our_tunes
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choose.choose_screen import ChooseScreen
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import Shelf
from companion.window.choosing_navigation import choose_tune
from companion.window.core.actions import Typed
from companion.window.core.screen import Answer
from companion.window.play.play_screen import PlayScreen
from companion.window.play.play_state import first_state
from tests.companion.sound.loudspeaker import wait_until

OURS = our_tunes()
BARS = "{g}A2 {d}B2 {g}c2 {d}d2|{gef}e2 {g}f2 {d}g2 {e}a2|]\n"
RHYTHMS = ("reel", "jig", "march", "strathspey")


def tune_text(number: int, title: str, rhythm: str = "reel", composer: str = "", bars: str = BARS) -> str:
    """A tune in ABC."""
    return f"X:{number}\nT:{title}\nC:{composer}\nR:{rhythm}\nM:4/4\nL:1/8\nQ:1/4=60\nK:HP\n{bars}\n"


def book_text(titles: Iterable[str]) -> str:
    """A book of tunes of these titles."""
    return "".join(tune_text(i, title, RHYTHMS[i % 4]) for i, title in enumerate(titles, start=1))


class Choosing:
    """A playing screen on the first of our tunes, paused, and what can be chosen over it."""

    def __init__(self, recent: Path | None = None) -> None:
        self.shelf = Shelf(OURS, RecentKeeper(recent))
        self.choose = partial(choose_tune, refit=transposed, shelf=self.shelf)
        state = first_state((*OURS.tunes, *OURS.drills), OURS.tunes[0], Timing())
        self.playing = PlayScreen(state, SilentPlayer(lambda: 0.0), self.choose)

    def open(self, path: Path | str | None = None) -> ChooseScreen:
        """The list, as O opens it; with a path, as a drop does, once that was read or refused."""
        screen = self.choose(self.playing, None if path is None else str(path))
        settle(screen)
        return screen

    @property
    def title(self) -> str:
        """The tune that plays."""
        return self.playing.state.tune.title


def settle(screen: ChooseScreen) -> Answer | None:
    """What a screen answers once it has read what it reads."""
    answers: list[Answer] = []

    def settled() -> bool:
        answer = screen.tick()
        if answer is not None:
            answers.append(answer)
        return screen.way_back != "stop reading"

    wait_until(settled)
    return answers[-1] if answers else None


def type_in(screen: ChooseScreen, text: str) -> None:
    """Type letter by letter."""
    for letter in text:
        screen.act(Typed(letter))


def names(screen: ChooseScreen) -> list[str]:
    """The rows that can be chosen."""
    return [row.name for row in screen.state.rows if row.choice]


def headings(screen: ChooseScreen) -> list[str]:
    """The headings between them."""
    return [row.name for row in screen.state.rows if row.choice is None]


def rank_of(screen: ChooseScreen, name: str) -> int:
    """Where the row of that name stands."""
    return next(rank for rank, row in enumerate(screen.state.rows) if row.name == name)
