"""Where there is no screen no window is opened that nobody could see."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from tests.companion.commands.program import environment, is_one_line, run, start, told_by, wait_until_begun

NO_SCREEN = {"DISPLAY": None, "WAYLAND_DISPLAY": None, "SDL_VIDEODRIVER": None, "XDG_RUNTIME_DIR": None}


def without_a_screen(folder: Path, **changes: str | None) -> dict[str, str]:
    """An environment without a screen, in which the window keeps its things in a folder."""
    return environment(**{**NO_SCREEN, "EIGHTHOLES_DATA": str(folder), **changes})


@pytest.mark.parametrize("changes", [{}, {"DISPLAY": ":4242"}, {"SDL_VIDEODRIVER": "x11"}])
def test_the_window_says_that_there_is_no_screen(tmp_path: Path, changes: dict[str, str]) -> None:
    """In one line, with status 2, however it is that there is none."""
    if Path("/tmp/.X11-unix/X4242").exists():
        pytest.skip("a screen of that number runs here")
    status, _, told = run(folder=tmp_path, env=without_a_screen(tmp_path, **changes))
    assert status == 2
    assert is_one_line(told)
    assert "no window can be opened" in told
    assert "eightholes picture" in told


@pytest.mark.parametrize("driver", ["dummy", pytest.param("offscreen", marks=pytest.mark.same_everywhere)])
def test_a_driver_that_was_asked_for_by_name_is_taken(tmp_path: Path, driver: str) -> None:
    """As tests do."""
    with start(folder=tmp_path, env=without_a_screen(tmp_path, SDL_VIDEODRIVER=driver)) as program:
        wait_until_begun(program)
        assert program.poll() is None
        program.send_signal(signal.SIGTERM)
        told_by(program)
    assert program.returncode == 143
