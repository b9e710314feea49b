"""Runs every benchmark, one after the other: python3 -m tests.bench [NAME ...]."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path


def names() -> list[str]:
    """The benchmarks there are, without their "bench_"."""
    return sorted(path.stem.removeprefix("bench_") for path in Path(__file__).parent.glob("bench_*.py"))


def main() -> None:
    """Run those named on the command line, or all."""
    for name in sys.argv[1:] or names():
        print(f"== {name}", flush=True)
        importlib.import_module(f"tests.bench.bench_{name}").main()


if __name__ == "__main__":
    main()
