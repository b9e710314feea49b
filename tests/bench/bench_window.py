"""How long a frame takes at 1920x1080 drawn to memory, beside filling and copying the same area; and the first frame.

Run: python3 -m tests.bench.bench_window
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time

import numpy as np
import numpy.typing as npt
import pygame

from companion.commands.shared.tune_list import bundled_tunes
from companion.schedule.timing import Timing
from companion.score.abc import read_abc_text
from companion.window.choose.book import book_of
from companion.window.choose.choose_screen import ChooseScreen
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.shelf import OurTunes, Shelf
from companion.window.core.actions import Action, Intent, Typed
from companion.window.core.display import Display
from companion.window.core.screen import Answer, Beneath, Canvas, ScreenResult
from companion.window.loaded_later import load_the_rest
from companion.window.paint.draw import Painter
from companion.window.play.play_state import PlayState, first_state
from companion.window.play.play_view import PlayView
from companion.window.program import Opening, play_screen
from companion.window.sheet.sheet_screen import SheetScreen
from tests.companion.window.lettered import lettering_for

Floats = npt.NDArray[np.float64]

SIZE = (1920, 1080)
FRAMES = 1200
FRAME_S = 1.0 / 60.0
GOAL_FRAME_MS = 4.0
GOAL_FIRST_FRAME_S = 0.5
STARTS = 5


def scene() -> PlayState:
    """The first of our tunes, four times slower."""
    tunes = bundled_tunes()
    return first_state(tunes, tunes[0], Timing(slow_down=4.0))


def frame_times_ms(state: PlayState) -> tuple[Floats, Floats]:
    """Milliseconds of each frame of a running tune, and of a bare fill and copy of the same surface beside it."""
    display = Display()
    lettering = lettering_for(SIZE, display)
    view, painter = PlayView(lettering), Painter(display.theme, lettering)
    surface, other = pygame.Surface(SIZE, 0, 32), pygame.Surface(SIZE, 0, 32)
    frames, bare = [], []
    for number in range(FRAMES):
        start = time.perf_counter()
        painter.paint(surface, view.picture(state, display, number * FRAME_S, *SIZE))
        drawn = time.perf_counter()
        other.fill((number % 256, 0, 0))
        other.blit(surface, (0, 0))
        frames.append(drawn - start)
        bare.append(time.perf_counter() - drawn)
    return np.array(frames) * 1000.0, np.array(bare) * 1000.0


TUNES_OF_BOOK = 2000
GOAL_KEY_MS = 16.0
SEARCHES = ("strathspey of the harbour 17", "ropewalk reel", "somebody else entirely", "e e e e e e")
BOOK_TUNE = """X:{0}
T:The {1} of the Harbour, no. {0}
C:Somebody {2}
R:{1}
M:4/4
L:1/8
K:HP
"""
MUSIC = "{g}A2 {d}B2 {g}c2 {d}d2 | {gef}e2 {g}f2 {d}g2 {e}a2 | {g}A2 {d}B2 {g}c2 {d}d2 | {gef}e2 {g}f2 {d}g2 {e}a2 |\n"


def list_times_ms() -> tuple[float, Floats]:
    """Milliseconds from a book of TUNES_OF_BOOK tunes that was read to its list on the screen; and of keys in a search.

    The longest of some openings over the playing screen, and each key with the frame that shows what it found; drawn
    to memory at SIZE.
    """
    rhythms = ("strathspey", "reel", "jig", "slow air")
    heads = (BOOK_TUNE.format(i, rhythms[i % 4], i % 17) for i in range(1, TUNES_OF_BOOK + 1))
    text = "".join(f"{head}{MUSIC * 4}\n" for head in heads)
    book = book_of("harbour.abc", read_abc_text(text, "harbour.abc"), None)
    assert len(book.tunes) == TUNES_OF_BOOK
    display = Display()
    lettering = lettering_for(SIZE, display)
    painter, surface, canvas = (
        Painter(display.theme, lettering),
        pygame.Surface(SIZE, 0, 32),
        Canvas(*SIZE, display, lettering),
    )
    painter.paint(surface, PlayView(lettering).picture(scene(), display, 0.0, *SIZE))
    openings, keys = [], []
    for _ in range(STARTS):
        shelf = Shelf(OurTunes(bundled_tunes()), RecentKeeper(None))
        shelf.add(book)
        start = time.perf_counter()
        screen = ChooseScreen(shelf, book.tunes[-1].place, lambda tune, book: None)
        painter.paint(surface, screen.picture(canvas))
        openings.append(time.perf_counter() - start)
    for query in SEARCHES:
        intents: list[Intent] = [*map(Typed, query), *(Action.ERASE for _ in query)]
        for intent in intents:
            start = time.perf_counter()
            screen.act(intent)
            painter.paint(surface, screen.picture(canvas))
            keys.append(time.perf_counter() - start)
    return max(openings) * 1000.0, np.array(keys) * 1000.0


OPENED_BY_KEY = {
    Action.KEYS: "the sheet of keys",
    Action.TUNES: "the list of tunes",
    Action.CATALOGUE: "the list of embellishments",
}


def opening_time_ms(action: Action) -> float:
    """Milliseconds from a key of the playing screen to the first picture of what it opens, all modules being loaded."""
    tunes, display = bundled_tunes(), Display()
    load_the_rest()
    screen = play_screen(Opening(tunes, tunes[0], playing=False))
    lettering = lettering_for(SIZE, display)
    painter, surface = Painter(display.theme, lettering), pygame.Surface(SIZE, 0, 32)
    canvas = Canvas(*SIZE, display, lettering)
    painter.paint(surface, screen.picture(canvas))
    start = time.perf_counter()
    if action is Action.KEYS:
        opened: Answer = SheetScreen(screen, display, lambda asked, intent: asked.act(intent))
    else:
        opened = screen.act(action)
    assert not isinstance(opened, ScreenResult | Beneath)
    painter.paint(surface, opened.picture(canvas))
    return (time.perf_counter() - start) * 1000.0


FIRST_FRAME = """
import sys, time
sys.argv = ["eightholes"]
from companion.window.paint.quick_pygame import load_pygame
load_pygame()
from companion.window.shell import Shell
draw = Shell.draw
def drawn(shell):
    draw(shell)
    print("first frame", flush=True)
    sys.exit(0)
Shell.draw = drawn
from companion.__main__ import main
main([])
"""


def first_frame_s(bytecode: str) -> float:
    """Seconds from the command to its first frame, in a process of its own.

    bytecode: the folder that Python keeps compiled modules in, as where the program is installed: whoever sets
    PYTHONDONTWRITEBYTECODE compiles them all at each start.
    """
    with tempfile.TemporaryDirectory() as folder:
        environment = {**os.environ, "SDL_VIDEODRIVER": "dummy", "SDL_AUDIODRIVER": "dummy", "EIGHTHOLES_DATA": folder}
        environment = {**environment, "PYTHONPYCACHEPREFIX": bytecode, "PYTHONDONTWRITEBYTECODE": ""}
        start = time.perf_counter()
        process = subprocess.Popen([sys.executable, "-c", FIRST_FRAME], env=environment, stdout=subprocess.PIPE)
        assert process.stdout is not None
        while b"first frame" not in process.stdout.readline():
            assert process.poll() is None, "the program ended before its first frame"
        took_s = time.perf_counter() - start
        process.communicate()
    return took_s


def bare_start_s() -> float:
    """The peer: Python that imports pygame and numpy, opens a window of the same size, and shows it."""
    code = (
        "import numpy, pygame; pygame.display.init(); pygame.display.set_mode((1280, 720)); "
        "pygame.display.flip(); print('shown', flush=True)"
    )
    environment = {**os.environ, "SDL_VIDEODRIVER": "dummy"}
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], env=environment, check=True, capture_output=True)
    return time.perf_counter() - start


def main() -> None:
    """Measure and print."""
    frames, bare = frame_times_ms(scene())
    p50, p99 = np.percentile(frames, (50, 99))
    bare_p50 = np.percentile(bare, 50)
    print(f"frame 1920x1080 in memory: p50 {p50:.2f} ms, p99 {p99:.2f} ms (goal p99 <= {GOAL_FRAME_MS:g} ms)")
    print(f"  {p50 / bare_p50:.1f} times a bare fill and copy of the same surface ({bare_p50:.2f} ms)")
    opening_ms, keys = list_times_ms()
    key_50, key_99 = np.percentile(keys, (50, 99))
    print(f"list of {TUNES_OF_BOOK:,} tunes to screen: {opening_ms:.1f} ms (goal <= {FRAME_S * 1000:.1f} ms)")
    print(
        f"search over them, a key and its frame: p50 {key_50:.1f} ms, p99 {key_99:.1f} ms (goal <= {GOAL_KEY_MS:g} ms)"
    )
    for action, what in OPENED_BY_KEY.items():
        print(f"{what} to screen: {opening_time_ms(action):.1f} ms (goal <= {FRAME_S * 1000:.1f} ms)")
    with tempfile.TemporaryDirectory() as bytecode:
        first_frame_s(bytecode)
        first_s = sorted(first_frame_s(bytecode) for _ in range(STARTS))[STARTS // 2]
    bare_s = sorted(bare_start_s() for _ in range(STARTS))[STARTS // 2]
    print(f"command to first frame: {first_s:.2f} s (goal <= {GOAL_FIRST_FRAME_S:g} s)")
    print(f"  {first_s / bare_s:.1f} times Python opening an empty pygame window ({bare_s:.2f} s)")


if __name__ == "__main__":
    main()
