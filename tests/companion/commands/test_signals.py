"""Ctrl-C, a shutdown or a killing in the middle of everything: no traceback, and nothing half written."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.companion.commands.program import GIVES_UP_S, TUNE, environment, start, told_by, wait_until, wait_until_begun
from tests.companion.commands.test_judge import ABC, write_take

ENDS_WITHIN_S = 10.0
"""On a machine under load."""

OF_STATUS = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}
MANY = 200
MOMENTS_S = (1.0, 1.45, 1.9, 2.35, 2.8)
"""While as many windows load and open beside each other, on one processor or two."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with long work for every command."""
    (tmp_path / "tune.abc").write_text(TUNE.replace("|{g}e2", "|: {g}e2").replace("a2|", "a2:|") + "{g}A8|\n" * MANY)
    (tmp_path / "judged.abc").write_text(ABC)
    write_take(tmp_path / "take.mid")
    (tmp_path / "many").mkdir()
    for number in range(MANY):
        (tmp_path / "many" / f"{number}.abc").write_text(TUNE + "{g}A8|\n" * MANY)
    return tmp_path


def wait_for_draft(folder: Path, least: int = 100_000) -> None:
    """Wait until much of a file that has no name yet is written. One that was made to see whether it can be goes."""
    wait_until(lambda: any(_size(draft) >= least for draft in folder.glob(".eightholes-*.part")))


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except FileNotFoundError:
        return 0


def ended(program: subprocess.Popen[bytes], number: signal.Signals) -> str:
    """Send a signal to the whole group, as a terminal does; what is said on standard error, once it has ended."""
    began_s = time.monotonic()
    os.killpg(program.pid, number)
    told = told_by(program)
    assert time.monotonic() - began_s < ENDS_WITHIN_S
    return told


WRITES = [
    *((("sound", "out.wav"), number) for number in OF_STATUS),
    (("sound", "out.flac"), signal.SIGINT),
    (("film", "out.mp4"), signal.SIGINT),
    (("film", "out.mp4"), signal.SIGTERM),
]


@pytest.mark.parametrize(("what", "number"), WRITES)
def test_a_rendering_that_is_ended_leaves_nothing(folder: Path, what: tuple[str, str], number: signal.Signals) -> None:
    """Neither under its name nor beside it, and not a word."""
    before = set(folder.iterdir())
    command, name = what
    words = (command, "tune.abc", "-o", name, "--slow", "32")
    with start(*words, folder=folder) as program:
        wait_for_draft(folder, 1 if command == "film" else 100_000)
        assert ended(program, number) == ""
    assert program.returncode == OF_STATUS[number]
    assert set(folder.iterdir()) == before


def test_a_rendering_that_is_killed_leaves_nothing_under_its_name(folder: Path) -> None:
    """The old file stays."""
    (folder / "out.wav").write_bytes(b"old")
    with start("sound", "tune.abc", "-o", "out.wav", "--slow", "32", "--force", folder=folder) as program:
        wait_for_draft(folder)
        program.kill()
        program.communicate()
    assert (folder / "out.wav").read_bytes() == b"old"


@pytest.fixture
def window_folder(folder: Path) -> Iterator[Path]:
    """A folder where the window keeps its things."""
    yield folder
    assert not list(folder.rglob("*.part"))


def window_environment(folder: Path) -> dict[str, str]:
    """A window that is drawn into memory, and keeps its things in a folder."""
    return environment(SDL_VIDEODRIVER="dummy", EIGHTHOLES_DATA=str(folder))


WORK = {
    "judge": ["judge", "judged.abc", *(["take.mid"] * MANY), "--html", "out.html"],
    "check": ["check", *(["many"] * 50)],
    "show": ["show", "tune.abc"],
    "show free": ["show", "--free", "--keys"],
}


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
@pytest.mark.parametrize("work", ["judge", "check", "show", "show free"])
def test_every_long_work_ends_when_it_is_told_to(window_folder: Path, work: str, number: signal.Signals) -> None:
    """With the status that shells know, without a traceback from it or from the processes that it has begun."""
    before = set(window_folder.iterdir())
    nowhere = subprocess.DEVNULL  # a pipe that nobody reads is full before long, and then no work goes on
    with start(*WORK[work], folder=window_folder, env=window_environment(window_folder), stdout=nowhere) as program:
        wait_until_begun(program)
        assert program.poll() is None
        assert ended(program, number) == ""
    assert program.returncode == OF_STATUS[number]
    assert set(window_folder.iterdir()) - before <= {window_folder / name for name in ("settings.json", "recent.json")}
    with pytest.raises(ProcessLookupError):
        os.killpg(program.pid, 0)


def test_only_the_parent_needs_to_be_told(folder: Path) -> None:
    """As by a service that ends one process: those that it has begun end too."""
    with start(*WORK["judge"], folder=folder) as program:
        wait_until_begun(program)
        program.terminate()
        told = told_by(program)
    assert (program.returncode, told) == (143, "")
    wait_until(lambda: _is_gone(program.pid))


def _is_gone(group: int) -> bool:
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return True
    return False


def test_a_hang_up_that_is_ignored_stays_so(folder: Path) -> None:
    """As under nohup."""

    def ignore() -> None:
        signal.signal(signal.SIGHUP, signal.SIG_IGN)

    with start("show", "tune.abc", folder=folder, env=window_environment(folder), preexec_fn=ignore) as program:
        wait_until_begun(program)
        program.send_signal(signal.SIGHUP)
        time.sleep(0.3)
        assert program.poll() is None
        assert ended(program, signal.SIGTERM) == ""
    assert program.returncode == 143


@pytest.mark.parametrize("driver", ["dummy", pytest.param("offscreen", marks=pytest.mark.same_everywhere)])
def test_a_window_ends_at_whatever_moment_it_is_told_to(folder: Path, driver: str) -> None:
    """While it opens too: pygame drops an exception that is raised as it fetches the window's icon."""
    env = {**window_environment(folder), "SDL_VIDEODRIVER": driver}
    with ExitStack() as all_windows:
        began_s = time.monotonic()
        windows = [all_windows.enter_context(start("show", "tune.abc", folder=folder, env=env)) for _ in MOMENTS_S]
        for moment_s, window in zip(MOMENTS_S, windows, strict=True):
            time.sleep(max(0.0, began_s + moment_s - time.monotonic()))
            window.terminate()
        try:
            told = [window.communicate(timeout=GIVES_UP_S)[1] for window in windows]
        finally:
            for window in windows:
                window.kill()
    assert [window.returncode for window in windows] == [143] * len(windows)
    assert told == [b""] * len(windows)
