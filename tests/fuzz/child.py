"""Targets under atheris, each in a process of its own, forked from one that has loaded and instrumented the program.

``python -m tests.fuzz.child`` takes a line of JSON for each, the words of `main` and a file for all that it says, and
answers with a line when it has ended.

An input that raises does not end the run: it is kept, the smallest of those that fail in one place, and the run goes
on. Only what hangs outside Python, or dies, ends it; libFuzzer then leaves the input itself.
"""

from __future__ import annotations

import importlib
import json
import os
import resource
import signal
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from types import FrameType

from tests.fuzz.limits import HUNGRY_MB, LONGEST, MOST_MB, SLOW_CPU_S, TIMEOUT_S

MEGABYTE = 1 << 20
KILOBYTES_IN_MEGABYTE = 1 << 10
OURS = ("companion", "fingering", "tests/fuzz")


class SlowInput(BaseException):
    """An input took longer than SLOW_CPU_S of a processor. No Exception, so that nothing under test can catch it."""


class HungryInput(Exception):
    """An input took more than HUNGRY_MB of memory."""


class Watch:
    """Runs a target and keeps what fails."""

    def __init__(self, target: Callable[[bytes], None], found: Path) -> None:
        self._target = target
        self._found = found
        self._smallest: dict[str, int] = {}
        signal.signal(signal.SIGVTALRM, self._too_slow)

    def run(self, data: bytes) -> None:
        """Run one input."""
        before_kb = _peak_kb()
        signal.setitimer(signal.ITIMER_VIRTUAL, SLOW_CPU_S)
        try:
            self._target(data)
            if _peak_kb() - before_kb > HUNGRY_MB * KILOBYTES_IN_MEGABYTE:
                raise HungryInput(f"{(_peak_kb() - before_kb) // KILOBYTES_IN_MEGABYTE} MB")
        except (Exception, SlowInput) as error:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
            self._keep(data, error)
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)

    def _too_slow(self, number: int, frame: FrameType | None) -> None:
        raise SlowInput(f"more than {SLOW_CPU_S} s")

    def _keep(self, data: bytes, error: BaseException) -> None:
        name = _name_of(error)
        if len(data) >= self._smallest.get(name, sys.maxsize):
            return
        self._smallest[name] = len(data)
        (self._found / name).write_bytes(data)
        (self._found / f"{name}.txt").write_text("".join(traceback.format_exception(error)), encoding="utf-8")


def _peak_kb() -> int:
    """The most memory that this process ever had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _name_of(error: BaseException) -> str:
    """What failed and where: one name for all inputs that fail alike. A slow one is named for what it was doing."""
    frames = [each for each in traceback.extract_tb(error.__traceback__) if any(top in each.filename for top in OURS)]
    if isinstance(error, SlowInput):
        outer = [each for each in frames if "tests/fuzz" not in each.filename] or frames[-2:]  # the last one raises it
        return f"SlowInput-{outer[0].name}"
    last = frames[-1]
    return f"{type(error).__name__}-{Path(last.filename).stem}-{last.name}-{last.lineno}"


def main(target: str, seconds: str, corpus: str, found: str, seed: str) -> None:
    """Fuzz until the time is over, from a seed of chance, 0 for another each time. Does not return."""
    import atheris

    from tests.fuzz.targets import TARGETS

    resource.setrlimit(resource.RLIMIT_DATA, (MOST_MB * MEGABYTE, MOST_MB * MEGABYTE))
    watch = Watch(TARGETS[target], Path(found))
    options = (
        f"-max_total_time={seconds}",
        f"-seed={seed}",
        f"-max_len={LONGEST[target]}",
        f"-timeout={TIMEOUT_S}",
        f"-rss_limit_mb={MOST_MB}",
        f"-artifact_prefix={found}/",
        f"-dict={corpus}.words",
        "-print_final_stats=1",
        "-reload=0",
    )
    atheris.Setup([sys.argv[0], *options, corpus], watch.run)
    atheris.Fuzz()


def obey() -> None:
    """Fork a process for each line, once the program is loaded, which takes longer than a short run."""
    import atheris

    with atheris.instrument_imports(include=["companion", "fingering"]):
        importlib.import_module("tests.fuzz.targets")
    for line in sys.stdin:
        *words, said = json.loads(line)
        pid = os.fork()
        if pid == 0:
            output = os.open(said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            for stream in (1, 2):
                os.dup2(output, stream)
            main(*words)
        os.waitpid(pid, 0)
        print("ended", flush=True)


if __name__ == "__main__":
    obey()
