"""A window on a tune out of a file, and the editor in which that file is changed."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from companion.commands.shared.library import transposed
from companion.commands.shared.tune_list import our_tunes, tune_list_for
from companion.midi.maps.note_map import DEFAULT_MAP
from companion.schedule.timing import Timing
from companion.sound.player import SilentPlayer
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import Shelf
from companion.window.core.display import Display
from companion.window.live.input import LiveInput
from companion.window.live.sound import LiveSound
from companion.window.play.play_state import PlayState
from companion.window.program import Opening, play_screen, trouble_of
from companion.window.rereading.rereading import Rereading
from companion.window.shell import Shell, WindowSize
from tests.companion.window import scenes
from tests.companion.window.driven_window import press
from tests.companion.window.players import Clock, Feed

FRAME_S = 0.05
PATIENCE_S = 20.0
HEAD = "X:{number}\nT:{title}\nM:2/4\nL:1/8\nQ:1/4=60\nK:HP\n"
BARS = ("A2 c2", "e2 {g}c2", "{gef}e2 c2", "B2 {g}d2", "e2 f2", "{g}e4")
AT = datetime(2026, 11, 29, 12, 3, 44, tzinfo=UTC)

NEWS = (
    "read again 12:03:44: bar 5 changed",
    "read again 12:03:44: bars 2, 5 to 8 and 11 changed, bar 12 is new; a-tune-of-mine.abc:7:12 (and 2 more): "
    "two notes on E with nothing between them sound as one; write a gracenote or a strike between them, or tie them",
)
"""What is said of a change: the shortest, and one with a long name and a question."""


def text(*bars: str, number: int = 1, title: str = "Nets") -> str:
    """A tune of bars of two crotchets, 2 s each, in a file."""
    return f"{HEAD.format(number=number, title=title)}{'|'.join(bars or BARS)}|]\n"


def changed(rank: int, bar: str) -> str:
    """The tune with another bar, counted from 1."""
    return text(*BARS[: rank - 1], bar, *BARS[rank:])


class Editor:
    """Writes a file in the ways that editors have."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def write(self, words: str) -> None:
        """Empty the file and write it."""
        self.path.write_text(words, encoding="utf-8")

    def replace(self, words: str) -> None:
        """Write another file, and put it in the place of this one."""
        beside = self.path.with_name(f".{self.path.name}.new")
        beside.write_text(words, encoding="utf-8")
        os.replace(beside, self.path)


class EditedWindow:
    """The window on the first tune of a file, on clocks that a test moves; `tune_s` is that of the tune that runs."""

    def __init__(
        self,
        path: Path,
        number: int | None = None,
        slow_down: float = 1.0,
        transpose: int = 0,
        *,
        playing: bool = True,
    ) -> None:
        self.editor = Editor(path)
        listed = tune_list_for(str(path), number, transpose)
        opening = Opening(listed.tunes, listed.first, Timing(slow_down=slow_down), notice=listed.notice)
        opening = replace(opening, playing=playing, book=listed.book, ours=our_tunes(), refit=transposed)
        self.now_s, self.tune_clock = 100.0, Clock()
        self.shelf = Shelf(our_tunes(), RecentKeeper(None))
        assert listed.book
        self.shelf.add(listed.book)
        self.live = LiveInput(path.parent / "takes", LiveSound(), self.tune_clock)
        self.feed = Feed()
        self.live.choice.follow(self.feed, DEFAULT_MAP)
        self.screen = play_screen(opening, self.live, self.shelf)
        self.screen.use(SilentPlayer(self.tune_clock))
        self.rereading = Rereading(self.screen, self.shelf, transposed, lambda: AT)
        self.shell = Shell(self.screen, Display(), WindowSize(1280, 720))
        self.frames(4)

    def frames(self, count: int = 1) -> None:
        """Frame after frame, as the program has them; what is looked at and read beside the window is waited for.

        To spare time only the last one is drawn.
        """
        for rank in range(count):
            self.screen.listen_in()
            self.rereading.pass_time(self.now_s, on_top=self.shell.top is self.screen)
            self.shell.trouble = trouble_of(self.screen, self.rereading)
            assert rank < count - 1 or self.shell.frame()
            self._wait_for_readers()
            self.now_s += FRAME_S

    def _wait_for_readers(self) -> None:
        until_s = time.monotonic() + PATIENCE_S
        while not self.rereading.at_rest:
            assert time.monotonic() < until_s
            time.sleep(0.001)

    def close(self) -> None:
        """The window is closed."""
        self.rereading.close()
        self.shell.close()

    def settle(self) -> None:
        """Until a change is noticed, read and shown: a second of the window's clock; the tune stands meanwhile."""
        self.frames(20)

    def write(self, words: str) -> None:
        """The file is written, and what comes of it is shown."""
        self.editor.write(words)
        self.settle()

    def press(self, code: int, typed: str = "") -> None:
        """A key goes down, and what it asks for is shown."""
        press(code, typed)
        self.frames()
        self.frames(3)

    @property
    def state(self) -> PlayState:
        """The state of the playing screen."""
        return self.screen.state

    def words(self) -> str:
        """All that is read in the window."""
        assert self.shell.picture is not None
        return " ".join(label.text for label in scenes.labels(self.shell.picture))


Open = Callable[..., EditedWindow]
"""Opens a window on a file of these words; the other words are those of `EditedWindow`."""
