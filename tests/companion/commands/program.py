"""The program as a process of its own, for what cannot be tried within the tests' own: signals, streams, limits."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import IO, Any

ROOT = Path(__file__).resolve().parents[3]
GIVES_UP_S = 60.0

BEGUN_S = 0.8
"""Of a processor: to load the program takes half of it."""

TUNE = "X:1\nT:Test\nM:4/4\nL:1/8\nQ:1/4=120\nK:HP\n{g}A2{d}B2{g}c2{e}d2|{g}e2{g}f2{a}g2a2|\n"
"""A tune of four seconds."""


def environment(**changes: str | None) -> dict[str, str]:
    """The tests' own environment without a screen or a loudspeaker; None takes a variable away."""
    wanted = {**os.environ, "PYTHONPATH": str(ROOT), "SDL_AUDIODRIVER": "dummy", **changes}
    return {name: value for name, value in wanted.items() if value is not None}


def start(
    *words: str | bytes,
    folder: Path,
    env: Mapping[str, str] | None = None,
    preexec_fn: Callable[[], object] | None = None,
    **how: Any,
) -> subprocess.Popen[bytes]:
    """Start the program in a folder, in a process group of its own and with the signals that a shell gives it."""

    def as_a_shell_does() -> None:
        # Where the tests run in the background, a shell has had them ignore Ctrl-C, which their children inherit.
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, signal.SIG_DFL)
        if preexec_fn:
            preexec_fn()

    pipes = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **how}
    command = [sys.executable, "-P", "-m", "companion", *words]
    return subprocess.Popen(
        command,
        cwd=folder,
        env=env or environment(),
        start_new_session=True,
        preexec_fn=as_a_shell_does,
        **pipes,
    )


def run(
    *words: str | bytes,
    folder: Path,
    env: Mapping[str, str] | None = None,
    stdout: int | IO[Any] = subprocess.PIPE,
    stderr: int | IO[Any] = subprocess.PIPE,
    preexec_fn: Callable[[], object] | None = None,
) -> tuple[int, bytes, str]:
    """Run the program to its end: its exit status, and what it printed on both streams."""
    with start(*words, folder=folder, env=env, stdout=stdout, stderr=stderr, preexec_fn=preexec_fn) as program:
        try:
            out, told = program.communicate(timeout=GIVES_UP_S)
        finally:
            program.kill()
    return program.returncode, out or b"", (told or b"").decode("utf-8", "backslashreplace")


def wait_until(done: Callable[[], bool], every_s: float = 0.01) -> None:
    """Wait, but not for good."""
    gives_up_s = time.monotonic() + GIVES_UP_S
    while not done():
        assert time.monotonic() < gives_up_s
        time.sleep(every_s)


def wait_until_begun(program: subprocess.Popen[bytes]) -> None:
    """Wait until a program and those that it has begun have worked for a while, on a machine as busy as may be."""
    # To look is work too, since it reads of every process of the machine: so not a hundred times a second.
    wait_until(lambda: program.poll() is not None or _worked_s(program.pid) >= BEGUN_S, every_s=0.05)


def _worked_s(group: int) -> float:
    """How long the processes of a group have worked, those that have ended apart: proc(5)."""
    ticks = 0
    for path in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # it has ended meanwhile
            fields = path.read_text().rpartition(")")[2].split()
            ticks += int(fields[11]) + int(fields[12]) if int(fields[2]) == group else 0
    return ticks / os.sysconf("SC_CLK_TCK")


def told_by(program: subprocess.Popen[bytes]) -> str:
    """What a program says on standard error until it ends; one that does not end is ended."""
    try:
        return program.communicate(timeout=GIVES_UP_S)[1].decode()
    finally:
        program.kill()


def is_one_line(told: str) -> bool:
    """Whether it is what a user should read: one line of ours with a remedy, that moves no cursor."""
    line = told.removesuffix("\n")
    return told.endswith("\n") and line.isprintable() and line.startswith("eightholes: ") and "; " in line
