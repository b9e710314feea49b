"""A screen under Xvfb on which the program runs, driven by real keys and a real pointer, and seen as it is."""

from __future__ import annotations

import os
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from companion.window.core.display import Display
from companion.window.play.settings.preferences import Preferences, write_preferences
from tests.companion.loaded import Loaded
from tests.referees import require_program

WIDTH, HEIGHT = 1280, 720
PATIENCE_S = 60.0
LOOKS_EVERY_S = 0.015  # a frame
COLOUR_BYTES = 12
LEFT, RIGHT = "1", "3"
"""The buttons of a mouse, as the X Window System numbers them."""

# The program's window has the screen's corner to itself, so that its pixels are found there; all else is as it comes.
PLACED = """<openbox_config xmlns="http://openbox.org/3.4/rc"><theme><keepBorder>no</keepBorder></theme>
<applications><application class="*">
<decor>no</decor><focus>yes</focus><position force="yes"><x>0</x><y>0</y></position>
</application></applications></openbox_config>"""


class Desk:
    """A screen of its own, and what happens on it."""

    def __init__(self, display: str, folder: Path) -> None:
        self._folder = folder
        # Whoever opens it for the first time is told what it means, over the picture.
        settings = folder / "config" / "eightholes" / "settings.json"
        settings.parent.mkdir(parents=True)
        write_preferences(Preferences(Display(introduced=True)), settings)
        self.environment = {
            **os.environ,
            "DISPLAY": display,
            "SDL_VIDEODRIVER": "x11",
            "SDL_AUDIODRIVER": "dummy",
            "XDG_CONFIG_HOME": str(folder / "config"),
            "XDG_DATA_HOME": str(folder / "data"),
        }

    def start(self, *words: str) -> subprocess.Popen[str]:
        """The program with these words; the pointer stands aside, where it names nothing."""
        self.point_at(0, 0)
        command = [sys.executable, "-m", "companion", *words]
        return subprocess.Popen(command, env=self.environment, stderr=subprocess.PIPE, text=True)

    @contextmanager
    def running(self, *words: str) -> Iterator[subprocess.Popen[str]]:
        """The program with these words, in front; it is gone afterwards."""
        window = self.start(*words)
        try:
            self.wait_until(lambda: self.in_front() == "eightholes", "the window never came to the front")
            yield window
        finally:
            window.kill()
            window.communicate()

    def do(self, *words: str) -> None:
        """What xdotool does with these words."""
        subprocess.run(
            ["xdotool", *words], env=self.environment, check=True, stdout=subprocess.DEVNULL, timeout=PATIENCE_S
        )

    def in_front(self) -> str:
        """The name of the window that gets the keys, as the window manager tells it; "" for none."""
        asked = ["xdotool", "getactivewindow", "getwindowname"]
        done = subprocess.run(asked, env=self.environment, capture_output=True, text=True, timeout=PATIENCE_S)
        return done.stdout.strip()

    def seen(self) -> NDArray[np.uint8]:
        """All pixels on the screen, row after row, out of the memory that Xvfb shares: XWD, version 7 (XWDFile.h)."""
        dump = (self._folder / "Xvfb_screen0").read_bytes()
        header_bytes, _, _, _, width, height = struct.unpack_from(">6I", dump)
        line_bytes, (colours,) = struct.unpack_from(">I", dump, 48)[0], struct.unpack_from(">I", dump, 76)
        start = header_bytes + colours * COLOUR_BYTES
        rows = np.frombuffer(dump, np.uint8, height * line_bytes, start).reshape(height, line_bytes // 4, 4)
        return rows[:, :width, 2::-1]

    def screen(self) -> bytes:
        """All pixels on the screen as RGB."""
        return self.seen().tobytes()

    def press(self, *keys: str) -> None:
        """Real key presses."""
        self.do("key", *keys)

    def hold(self, *keys: str) -> None:
        """Real keys go down and stay down."""
        self.do("keydown", *keys)

    def let_go(self, *keys: str) -> None:
        """Real keys come up."""
        self.do("keyup", *keys)

    def point_at(self, x: float, y: float) -> None:
        """The pointer goes there."""
        self.do("mousemove", str(round(x)), str(round(y)))

    def click(self, x: float, y: float, button: str = LEFT) -> None:
        """A click there; the pointer stands aside afterwards."""
        self.point_at(x, y)
        self.do("click", button)
        self.point_at(0, 0)

    def drag(self, y: float, x0: float, x1: float) -> None:
        """The left button goes down at (x0, y) and comes up at (x1, y); the pointer stands aside afterwards."""
        self.point_at(x0, y)
        self.do("mousedown", LEFT)
        self.point_at((x0 + x1) / 2, y)
        self.point_at(x1, y)
        self.do("mouseup", LEFT)
        self.point_at(0, 0)

    def shows(self, wanted: bytes, part: pygame.Rect) -> bool:
        """Whether a part of the screen shows exactly these pixels; a few rows tell mostly that it does not."""
        seen = self.seen()[part.top : part.bottom, part.left : part.right]
        asked = np.frombuffer(wanted, np.uint8).reshape(seen.shape)
        return np.array_equal(seen[::16], asked[::16]) and np.array_equal(seen, asked)

    def wait_for(self, wanted: pygame.Surface, part: pygame.Rect | None = None) -> None:
        """Wait until the screen shows that; fail when it never does, and keep both pictures."""
        there = part or wanted.get_rect()
        asked = pixels(wanted.subsurface(there))
        try:
            self.wait_until(lambda: self.shows(asked, there), "it was never shown")
        except AssertionError:
            pygame.image.save(wanted, str(self._folder / "wanted.png"))
            seen = pygame.surfarray.make_surface(self.seen().swapaxes(0, 1))
            pygame.image.save(seen, str(self._folder / "seen.png"))
            pytest.fail(f"the screen never showed the picture: see wanted.png and seen.png in {self._folder}")

    def wait_until(self, happened: Callable[[], bool], else_said: str) -> None:
        """Wait for something that is bound to happen; fail with these words when it never does."""
        until_s = time.monotonic() + PATIENCE_S
        while not happened():
            assert time.monotonic() < until_s, else_said
            time.sleep(LOOKS_EVERY_S)

    def wait_until_it_moves(self) -> None:
        """Wait until the picture has changed a few times by itself."""
        seen: set[bytes] = set()

        def moved() -> bool:
            seen.add(self.screen())
            return len(seen) > 3

        self.wait_until(moved, "the picture never moved")


def pixels(surface: pygame.Surface) -> bytes:
    """All pixels as RGB."""
    return pygame.image.tobytes(surface, "RGB")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A screen under Xvfb, of the window's size."""
    require_program("xdotool")
    # Without -noreset it starts afresh when its last client leaves, and refuses whoever comes meanwhile.
    arguments = ["-displayfd", "1", "-screen", "0", f"{WIDTH}x{HEIGHT}x24", "-nolisten", "tcp", "-noreset", "-nocursor"]
    arguments += ["-fbdir", str(tmp_path)]
    xvfb = subprocess.Popen([require_program("Xvfb"), *arguments], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert xvfb.stdout is not None
    number = xvfb.stdout.readline().decode().strip()
    try:
        yield Desk(f":{number}", tmp_path)
    finally:
        xvfb.terminate()
        xvfb.wait()
        xvfb.stdout.close()


@pytest.fixture
def managed_desk(desk: Desk, tmp_path: Path) -> Iterator[Desk]:
    """A screen with a window manager, as a user's has one: windows can be brought to the front and fill the screen."""
    rules = tmp_path / "openbox.xml"
    rules.write_text(PLACED)
    command = [require_program("openbox"), "--sm-disable", "--config-file", str(rules)]
    quiet = subprocess.DEVNULL
    manager = subprocess.Popen(command, env=desk.environment, stdout=quiet, stderr=quiet)
    try:
        asked = ["xdotool", "get_num_desktops"]  # which fails as long as there is no window manager
        desk.wait_until(
            lambda: subprocess.run(asked, env=desk.environment, stdout=quiet, stderr=quiet).returncode == 0,
            "the window manager never came",
        )
        yield desk
    finally:
        manager.terminate()
        manager.wait()


Still = Callable[..., pygame.Surface]


@pytest.fixture
def still(loaded: Loaded, tmp_path: Path) -> Still:
    """What `eightholes picture` draws."""

    def drawn(*words: str) -> pygame.Surface:
        path = tmp_path / "still.png"
        done = loaded.run("picture", *words, "--force", "-o", str(path), folder=tmp_path, env=os.environ)
        assert done.status == 0, done.told
        return pygame.image.load(str(path))

    return drawn
