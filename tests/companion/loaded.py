"""The program in processes forked from one that has loaded it, since loading takes most of the time of a short command.

What a process inherits from its start alone cannot be tried so: Python's own settings, and streams that were closed
before it began. For these there is `commands/program.py`.
"""

from __future__ import annotations

import json
import os
import select
import signal
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[2]
GIVES_UP_S = 120.0

# For each line of orders a child that becomes the program, and then its status.
_LOADED = """
import importlib, json, os, pkgutil, resource, runpy, sys
import numpy, pygame, companion.commands, companion.window
for package in (companion.commands, companion.window):
    for module in pkgutil.iter_modules(package.__path__, package.__name__ + "."):
        importlib.import_module(module.name)

def become(order):
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    for number, path in ((1, order["out"]), (2, order["err"])):
        os.dup2(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
    os.chdir(order["folder"])
    os.environ.clear()
    os.environ.update(order["env"])
    for kind, most in order["limits"].items():
        resource.setrlimit(int(kind), (most, most))
    sys.argv[1:] = order["words"]
    if order["script"]:
        sys.argv[0] = "-c"
        exec(order["script"], {"__name__": "__main__"})
    else:
        runpy.run_module("companion", run_name="__main__", alter_sys=True)

for line in sys.stdin:
    pid = os.fork()
    if not pid:
        become(json.loads(line))
        break
    _, status = os.waitpid(pid, 0)
    print(os.waitstatus_to_exitcode(status), flush=True)
"""


@dataclass(frozen=True, slots=True)
class Ended:
    """A program that has ended: its exit status, negative where a signal ended it, and what it printed."""

    status: int
    out: str
    told: str


class Loaded:
    """A process that has loaded the program, and forks one after another from itself."""

    def __init__(self) -> None:
        # One thread: numpy's would be lost in a fork. A group of its own, so that whatever hangs can be ended with it.
        env = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONPATH": str(ROOT), "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
        command, pipe = [sys.executable, "-c", _LOADED], subprocess.PIPE
        self._process = subprocess.Popen(command, env=env, stdin=pipe, stdout=pipe, text=True, start_new_session=True)

    def run(
        self,
        *words: str,
        folder: Path,
        env: Mapping[str, str],
        script: str = "",
        limits: dict[int, int] | None = None,
    ) -> Ended:
        """The program, or a script that begins it, to its end. limits: by number of resource.setrlimit."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        with TemporaryDirectory() as name:
            out, err = Path(name) / "out", Path(name) / "err"
            places = {"folder": str(folder), "out": str(out), "err": str(err)}
            order = {"words": words, "env": dict(env), "script": script, "limits": limits or {}, **places}
            self._process.stdin.write(f"{json.dumps(order)}\n")
            self._process.stdin.flush()
            answers, _, _ = select.select([self._process.stdout], [], [], GIVES_UP_S)
            assert answers, f"{words} does not end"
            status = int(self._process.stdout.readline())
            return Ended(status, *(path.read_text(encoding="utf-8") for path in (out, err)))

    def close(self) -> None:
        """End it, and whatever still runs of it."""
        with self._process, suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
