"""Starts a module of this program as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

_HOME = Path(__file__).resolve().parents[2]


def start_module(module: str, *words: str) -> subprocess.Popen[bytes]:
    """The process, which finds the same package as this one; it shares no terminal, so no Ctrl-C reaches it."""
    paths = (str(_HOME), os.environ.get("PYTHONPATH"))
    pipe = subprocess.PIPE
    return subprocess.Popen(
        [sys.executable, "-P", "-m", module, *words],
        stdin=pipe,
        stdout=pipe,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))},
        start_new_session=True,
    )


def set_aside_output() -> int:
    """Keep standard output for the caller alone, who gets its number: what C libraries print goes nowhere."""
    ours = os.dup(1)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    return ours


def write_all(number: int, data: bytes) -> None:
    """Write to a file of that number, however often it takes only a part."""
    while data:
        data = data[os.write(number, data) :]
