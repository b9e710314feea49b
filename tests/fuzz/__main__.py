"""Fuzzes the readers: ``python -m tests.fuzz [TARGET ...] [--seconds N]``; without a target, one after another."""

from __future__ import annotations

import argparse
import contextlib
import tempfile
from pathlib import Path

from tests.fuzz.running import Fuzzers, fuzz, last_line
from tests.fuzz.targets import TARGETS

FOUND = Path(__file__).parent / "found"


def main() -> int:
    """Fuzz, and print a line for each target and each new finding. Returns 1 where something new was found."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("targets", metavar="TARGET", nargs="*", help=", ".join(TARGETS))
    parser.add_argument("--seconds", type=int, default=60, help="for each target (default: 60)")
    parser.add_argument("--corpus", type=Path, help="a folder of inputs to go on from (default: the seeds alone)")
    options = parser.parse_args()
    strange = set(options.targets) - set(TARGETS)
    if strange:
        parser.error(f"there is no target {', '.join(sorted(strange))}: choose from {', '.join(TARGETS)}")
    with tempfile.TemporaryDirectory() as folder, contextlib.closing(Fuzzers()) as fuzzers:
        corpora = options.corpus or Path(folder)
        any_new = False
        for target in options.targets or TARGETS:
            run = fuzz(fuzzers, target, options.seconds, (corpora / target).absolute(), FOUND / target)
            any_new = any_new or bool(run.new)
            print(run, flush=True)
            for name in run.new:
                print(f"            {name}: {last_line(FOUND / target, name)}", flush=True)
    return 1 if any_new else 0


if __name__ == "__main__":
    raise SystemExit(main())
