"""The program in a real window under Xvfb, driven by real keys, seen as it is on the screen."""

from __future__ import annotations

import os
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pygame
import pytest

from companion.window.core.display import Display
from companion.window.play.preferences import Preferences, write_preferences
from tests.companion.loaded import Loaded
from tests.referees import require_program

WIDTH, HEIGHT = 1280, 720
PATIENCE_S = 60.0
COLOUR_BYTES = 12
TUNE = "the-last-ferry-to-tarrowick"


class Desk:
    """A screen of its own, and what happens on it."""

    def __init__(self, display: str, folder: Path) -> None:
        self._folder = folder
        # Whoever opens it for the first time is told what it means, over the picture.
        settings = folder / "config" / "eightholes" / "settings.json"
        settings.parent.mkdir(parents=True)
        write_preferences(Preferences(Display(introduced=True)), settings)
        self._environment = {
            **os.environ,
            "DISPLAY": display,
            "SDL_VIDEODRIVER": "x11",
            "SDL_AUDIODRIVER": "dummy",
            "XDG_CONFIG_HOME": str(folder / "config"),
            "XDG_DATA_HOME": str(folder / "data"),
        }

    def start(self, *words: str) -> subprocess.Popen[str]:
        """The program with these words; the pointer stands aside, where it names nothing."""
        subprocess.run(["xdotool", "mousemove", "0", "0"], env=self._environment, check=True)
        command = [sys.executable, "-m", "companion", *words]
        return subprocess.Popen(command, env=self._environment, stderr=subprocess.PIPE, text=True)

    def screen(self) -> bytes:
        """All pixels on the screen as RGB, out of the memory that Xvfb shares: a dump of XWD, version 7 (XWDFile.h)."""
        dump = (self._folder / "Xvfb_screen0").read_bytes()
        header_bytes, _, _, _, width, height = struct.unpack_from(">6I", dump)
        line_bytes, (colours,) = struct.unpack_from(">I", dump, 48)[0], struct.unpack_from(">I", dump, 76)
        start = header_bytes + colours * COLOUR_BYTES
        rows = np.frombuffer(dump, np.uint8, height * line_bytes, start).reshape(height, line_bytes // 4, 4)
        return rows[:, :width, 2::-1].tobytes()

    def press(self, *keys: str) -> None:
        """Real key presses."""
        subprocess.run(["xdotool", "key", *keys], env=self._environment, check=True)

    def hold(self, *keys: str) -> None:
        """Real keys go down and stay down."""
        subprocess.run(["xdotool", "keydown", *keys], env=self._environment, check=True)

    def let_go(self, *keys: str) -> None:
        """Real keys come up."""
        subprocess.run(["xdotool", "keyup", *keys], env=self._environment, check=True)

    def wait_for(self, wanted: pygame.Surface) -> None:
        """Wait until the screen shows exactly that; fail when it never does."""
        until_s = time.monotonic() + PATIENCE_S
        while self.screen() != pixels(wanted):
            assert time.monotonic() < until_s, "the screen never showed the picture"
            time.sleep(0.05)


def pixels(surface: pygame.Surface) -> bytes:
    """All pixels as RGB."""
    return pygame.image.tobytes(surface, "RGB")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A screen under Xvfb, of the window's size."""
    require_program("xdotool")
    # Without -noreset it starts afresh when its last client leaves, and refuses whoever comes meanwhile.
    arguments = ["-displayfd", "1", "-screen", "0", f"{WIDTH}x{HEIGHT}x24", "-nolisten", "tcp", "-noreset"]
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


def test_the_window_shows_what_picture_draws_and_obeys_keys(desk: Desk, still: Still) -> None:
    """Pixel for pixel; a theme key changes it, a step moves it by one movement, Escape closes it with status 0."""
    place = (TUNE, "--at", "3.1", "--size", f"{WIDTH}x{HEIGHT}", "--slow", "4")
    window = desk.start("show", *place, "--paused")
    try:
        desk.wait_for(still(*place))
        desk.press("t")
        desk.wait_for(still(*place, "--theme", "night"))
        desk.press("Left")
        before = (TUNE, "--at", "3.1.2", *place[3:])
        desk.wait_for(still(*before, "--theme", "night"))
        desk.press("Escape")
        assert window.wait(PATIENCE_S) == 0
    finally:
        window.kill()
        window.communicate()


def test_settings_are_there_again_the_next_time(desk: Desk, still: Still, tmp_path: Path) -> None:
    """Even when the window was killed: night is still night."""
    place = (TUNE, "--at", "2.1", "--size", f"{WIDTH}x{HEIGHT}", "--slow", "4")
    night = still(*place, "--theme", "night")
    first = desk.start("show", *place, "--paused")
    desk.wait_for(still(*place))
    desk.press("t")
    desk.wait_for(night)
    until_s = time.monotonic() + PATIENCE_S
    while not any("night" in kept.read_text() for kept in tmp_path.rglob("settings.json")):
        assert time.monotonic() < until_s, "the settings were never kept"
        time.sleep(0.05)
    first.kill()
    first.communicate()
    second = desk.start("show", *place, "--paused")
    try:
        desk.wait_for(night)
    finally:
        second.kill()
        second.communicate()


def test_with_no_words_it_opens_on_a_tune_that_plays(desk: Desk) -> None:
    """The first minute needs no manual: within moments the picture moves by itself."""
    window = desk.start()
    try:
        until_s = time.monotonic() + PATIENCE_S
        seen = {desk.screen()}
        while len(seen) < 4:
            assert time.monotonic() < until_s
            time.sleep(0.05)
            seen.add(desk.screen())
    finally:
        window.terminate()
        window.communicate()


def test_without_a_screen_it_says_so_in_one_line() -> None:
    """No display: one line, status 2, no traceback."""
    environment = {**os.environ, "SDL_VIDEODRIVER": "x11"}
    environment.pop("DISPLAY", None)
    command = [sys.executable, "-m", "companion", "show"]
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=PATIENCE_S)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "eightholes: no window can be opened" in done.stderr
