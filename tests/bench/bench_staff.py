"""How soon the staff is there after a tune is opened, and how long frames take while it is engraved.

Drawn to memory at 1920x1080, with the process that the window has; beside it stands what engraving would take in the
window's own process, where Verovio and resvg hold Python's lock. Run: python3 -m tests.bench.bench_staff
"""

from __future__ import annotations

import os
import pickle
import sys
import time
from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pygame

from companion.commands.shared.tune_list import bundled_tunes
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.window.core.display import Display
from companion.window.core.marks import Engraved
from companion.window.paint.draw import Painter
from companion.window.paint.lettering import ending_fonts
from companion.window.paint.still import lettering_for
from companion.window.play.play_state import PlayState, first_state
from companion.window.play.play_view import PlayView
from companion.window.shell import THREAD_SWITCH_S
from companion.window.staff.cuts import StaffCut, staff_cuts
from companion.window.staff.drawing import draw_line
from companion.window.staff.maker import StaffMaker
from companion.window.staff.staff_line import StaffRoom

Floats = npt.NDArray[np.float64]

SIZE = (1920, 1080)
FRAME_S = 1.0 / 60.0
SECONDS_EACH = 0.6
GOAL_READY_MS = 150.0
GOAL_FRAME_MS = 16.0


class _Window:
    """Frames of the playing screen, drawn to memory as often as a window draws them.

    Their time is that of the thread that draws: another process that keeps a busy computer's cores adds nothing to it.
    What the maker's thread holds Python's lock for is measured apart.
    """

    def __init__(self, maker: StaffMaker | None) -> None:
        display = Display()
        lettering = lettering_for(SIZE, display)
        self.display, self.view, self.maker = display, PlayView(lettering), maker
        self.painter, self.surface = Painter(display.theme, lettering), pygame.Surface(SIZE, 0, 32)

    def frame(self, state: PlayState, at_s: float) -> tuple[float, bool]:
        """Draw one; how long its own work took in ms, and whether the staff was on it."""
        start = time.thread_time()
        picture = self.view.picture(state, self.display, at_s, *SIZE, staff=self.maker)
        self.painter.paint(self.surface, picture)
        took_ms = (time.thread_time() - start) * 1000.0
        return took_ms, any(isinstance(mark, Engraved) for mark in picture.still)


def opened_ms(window: _Window, state: PlayState) -> tuple[float, list[float]]:
    """Milliseconds from opening a tune to the frame with its staff, and those of each frame meanwhile and after."""
    opened, frames, ready_ms = time.perf_counter(), list[float](), float("nan")
    while (now := time.perf_counter()) - opened < SECONDS_EACH:
        took_ms, there = window.frame(state, now - opened)
        frames.append(took_ms)
        if there and np.isnan(ready_ms):
            ready_ms = (time.perf_counter() - opened) * 1000.0
        time.sleep(max(0.001, FRAME_S - (time.perf_counter() - now)))
    return ready_ms, frames


def asked_of(window: _Window, state: PlayState) -> tuple[Tune, StaffCut, StaffRoom]:
    """The first line of a tune, as the window asks for it."""
    room = StaffRoom.of(window.view.layout(state, window.display, *SIZE, staff=window.maker).staff)
    return state.tune, staff_cuts(state.tune, room.spaces, 2)[0], room


def held_ms(work: Callable[[], object]) -> float:
    """The longest that another thread had to wait for Python's lock while `work` was done on this one, in ms."""
    from threading import Thread

    waits, over = [0.0], False

    def watch() -> None:
        while not over:
            before = time.perf_counter()
            time.sleep(0.0005)
            waits.append((time.perf_counter() - before) * 1000.0)

    watcher = Thread(target=watch)
    watcher.start()
    work()
    over = True
    watcher.join()
    return max(waits)


def main() -> None:
    """Measure and print."""
    os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
    sys.setswitchinterval(THREAD_SWITCH_S)
    states = [first_state(bundled_tunes(), tune, Timing(slow_down=2.0)) for tune in bundled_tunes()]
    maker = StaffMaker(ending_fonts())
    try:
        window = _Window(maker)
        without = _Window(None)
        bare = np.concatenate([opened_ms(without, state)[1] for state in states])
        began = time.perf_counter()
        maker.begin()
        first_ms, starting = opened_ms(window, states[0])
        while not window.frame(states[0], 0.0)[1]:
            time.sleep(FRAME_S)
        first_ms = first_ms if not np.isnan(first_ms) else (time.perf_counter() - began) * 1000.0
        ready, frames = zip(*(opened_ms(window, state) for state in states[1:]), strict=True)
        taken = pickle.dumps(maker.line(*asked_of(window, states[-1])), pickle.HIGHEST_PROTOCOL)
    finally:
        maker.close()
    meanwhile = np.concatenate([np.array(each) for each in frames])
    p50, p99 = np.percentile(meanwhile, (50, 99))
    print(f"staff of the first tune, since its process began: {first_ms:.0f} ms, longest frame {max(starting):.1f} ms")
    print(
        f"staff of another tune of {len(ready)}: median {np.median(ready):.0f} ms, longest {np.max(ready):.0f} ms "
        f"(goal <= {GOAL_READY_MS:g} ms)"
    )
    print(
        f"frames meanwhile and after: p50 {p50:.2f}, p99 {p99:.2f}, longest {meanwhile.max():.1f} ms "
        f"(goal <= {GOAL_FRAME_MS:g} ms)"
    )
    bare_50, bare_99 = np.percentile(bare, (50, 99))
    print(f"  the same frames without a staff: p50 {bare_50:.2f}, p99 {bare_99:.2f}, longest {bare.max():.1f} ms")
    print(f"  longest hold of the lock as a line is taken in: {held_ms(lambda: pickle.loads(taken)):.1f} ms")
    held = held_ms(lambda: draw_line(*asked_of(window, states[0])))
    print(f"  engraved in the window's own process, the lock would be held for {held:.0f} ms")


if __name__ == "__main__":
    main()
