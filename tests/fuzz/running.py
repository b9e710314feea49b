"""Runs one target under atheris for so long, and tells what came of it."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.fuzz.seeds import seeds, words

ROOT = Path(__file__).resolve().parents[2]
MEMORY_FOLDER = Path("/dev/shm")
"""Inputs are written to files by the thousand a second: in memory, where there is such a folder."""

SHORTEST_S = 1
_LEFT_BEHIND = ("crash-", "timeout-", "oom-", "slow-unit-", "leak-")
_LAST_LINES = 40


@dataclass(frozen=True, slots=True)
class Run:
    """What fuzzing one target came to. new: the names of findings that were not there before."""

    target: str
    inputs: int
    seconds: float
    peak_mb: int
    new: tuple[str, ...]

    def __str__(self) -> str:
        rate = self.inputs / max(self.seconds, 0.001)
        news = ", ".join(self.new) or "nothing new"
        return f"{self.target:<10}  {self.inputs:>9,} inputs  {rate:>7,.0f}/s  {self.peak_mb:>4} MB  {news}"


# Linux counts as a process's own peak what the one that began it held, and libFuzzer goes by that count: a test run
# that holds 600 MB would have every input found too hungry. So a small process stands between them.
_BETWEEN = "import subprocess, sys; sys.exit(subprocess.run(sys.argv[1:]).returncode)"


class Fuzzers:
    """A process that has loaded and instrumented the program, and forks from itself one for each run."""

    def __init__(self) -> None:
        place = {"TMPDIR": str(MEMORY_FOLDER)} if MEMORY_FOLDER.is_dir() else {}
        words = [sys.executable, "-c", _BETWEEN, sys.executable, "-m", "tests.fuzz.child"]
        self._process = subprocess.Popen(
            words,
            cwd=ROOT,
            env={**os.environ, "PYGAME_HIDE_SUPPORT_PROMPT": "1", **place},  # pygame would greet amid the answers
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )

    def run(self, *words: str) -> str:
        """All that one run says: the words are those of `child.main`. Raises RuntimeError where none begins."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        with tempfile.TemporaryDirectory() as folder:
            said = Path(folder) / "said"
            self._process.stdin.write(json.dumps([*words, str(said)]) + "\n")
            self._process.stdin.flush()
            if not self._process.stdout.readline():
                raise RuntimeError("the fuzzer does not begin: python -m tests.fuzz.child tells why")
            return said.read_text(encoding="utf-8", errors="replace")

    def close(self) -> None:
        """End it."""
        with self._process:
            pass


def fuzz(fuzzers: Fuzzers, target: str, seconds: int, corpus: Path, found: Path, chance: int = 0) -> Run:
    """Fuzz a target for so many seconds. corpus: a folder of inputs to go on from and to add to; found: for findings.
    chance: from which number the fuzzer takes it, 0 for another each time.

    Raises RuntimeError where the fuzzer itself does not run.
    """
    corpus.mkdir(parents=True, exist_ok=True)
    found.mkdir(parents=True, exist_ok=True)
    before = set(_findings(found))
    for seed in seeds(target):
        (corpus / hashlib.sha1(seed).hexdigest()).write_bytes(seed)
    Path(f"{corpus}.words").write_text("".join(map(_dictionary_line, words(target))), encoding="ascii")
    began_s, inputs, peak_mb = time.monotonic(), 0, 0
    while (left := seconds - (time.monotonic() - began_s)) >= SHORTEST_S or not inputs:
        said = fuzzers.run(target, str(max(SHORTEST_S, round(left))), str(corpus), str(found), str(chance))
        inputs += _stat(said, "number_of_executed_units")
        peak_mb = max(peak_mb, _stat(said, "peak_rss_mb"))
        left_behind = [path for path in found.iterdir() if path.name.startswith(_LEFT_BEHIND) and _is_input(path)]
        for path in left_behind:
            path.with_name(f"{path.name}.txt").write_text("\n".join(said.splitlines()[-_LAST_LINES:]), encoding="utf-8")
            path.rename(path.with_name(f"libfuzzer-{path.name}"))
        if not inputs:
            raise RuntimeError(f"fuzzing {target} does not begin:\n{said[-2000:]}")
    new = tuple(sorted(set(_findings(found)) - before))
    return Run(target, inputs, time.monotonic() - began_s, peak_mb, new)


def last_line(found: Path, name: str) -> str:
    """What is told of a finding: the last line of its traceback."""
    told = found / f"{name}.txt"
    lines = told.read_text(encoding="utf-8").splitlines() if told.exists() else []
    return lines[-1] if lines else ""


def _stat(said: str, name: str) -> int:
    told = re.findall(rf"stat::{name}:\s+(\d+)", said)
    return int(told[-1]) if told else 0


def _is_input(path: Path) -> bool:
    return path.is_file() and path.suffix != ".txt"


def _findings(found: Path) -> Iterator[str]:
    return (path.name for path in found.iterdir() if _is_input(path))


def _dictionary_line(word: str) -> str:
    """A word as libFuzzer reads it: every byte by its code."""
    data = word.encode("latin-1") if all(ord(sign) < 256 for sign in word) else word.encode()
    return '"' + "".join(f"\\x{byte:02X}" for byte in data) + '"\n' if data else ""
