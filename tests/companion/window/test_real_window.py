"""The program in a real window under Xvfb, driven by real keys, seen as it is on the screen."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.companion.window.desk import HEIGHT, PATIENCE_S, WIDTH, Desk, Still

TUNE = "the-last-ferry-to-tarrowick"


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


@pytest.mark.same_everywhere
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


@pytest.mark.same_everywhere
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
