"""Runs every benchmark, one after the other: python3 -m tests.bench [NAME ...]."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest


def names() -> list[str]:
    """The benchmarks there are, without their "bench_"."""
    return sorted(path.stem.removeprefix("bench_") for path in Path(__file__).parent.glob("bench_*.py"))


def run(name: str) -> None:
    """Run one, or say in a line which referee this machine lacks for it."""
    print(f"== {name}", flush=True)
    try:
        importlib.import_module(f"tests.bench.bench_{name}").main()
    except (pytest.skip.Exception, pytest.fail.Exception) as missing:  # what tests/referees.py raises
        print(f"not measured to the end: {missing}", flush=True)


def main() -> None:
    """Run those named on the command line, or all."""
    for name in sys.argv[1:] or names():
        run(name)


if __name__ == "__main__":
    main()
