"""Mutation testing: ``python -m tests.mutation [TARGET ...] [--every N] [--only WORD]``; a line for each survivor."""

from __future__ import annotations

import argparse
import importlib
import sys
import time
from pathlib import Path

from tests.mutation.judged import key, reasons
from tests.mutation.mutants import mutants_of
from tests.mutation.targets import TARGETS, Target
from tests.mutation.trial import Trials


def main() -> int:
    """Try the mutants of the targets and print the figures. Returns 1 where one survived that nobody has judged."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    parser.add_argument("targets", metavar="TARGET", nargs="*", help=", ".join(TARGETS))
    parser.add_argument(
        "--every", type=int, default=1, help="each number outside functions once, and every so manieth else"
    )
    parser.add_argument("--only", default="", help="modules whose name holds this word")
    options = parser.parse_args()
    strange = set(options.targets) - set(TARGETS)
    if strange:
        parser.error(f"there is no target {', '.join(sorted(strange))}: choose from {', '.join(TARGETS)}")
    gaps = [_try(name, TARGETS[name], options.every, options.only) for name in options.targets or TARGETS]
    return 1 if any(gaps) else 0


def _try(name: str, target: Target, every: int, only: str) -> int:
    """How many survived and are not judged."""
    began_s = time.monotonic()
    trials = Trials(target.tests)
    for module in target.beneath:
        importlib.import_module(module)
    if any(module.startswith(target.package.replace("/", ".")) for module in sys.modules):
        raise RuntimeError(f"what stands beneath {target.package} loads some of it")
    trials.measure()
    tried = killed = judged = gaps = 0
    known = reasons()
    for path in sorted(path for path in Path(target.package).rglob("*.py") if only in path.stem):
        for mutant in mutants_of(path, every):
            tried += 1
            if not trials.survives(mutant):
                killed += 1
            elif key(mutant) in known:
                judged += 1
            else:
                gaps += 1
                print(mutant, flush=True)
    lasted_s = time.monotonic() - began_s
    share = killed / max(1, tried - judged)
    print(
        f"{name}: {tried} mutants, {killed} killed, {judged} equivalent, {gaps} gaps: {share:.1%}; {lasted_s:.0f} s",
        flush=True,
    )
    return gaps


if __name__ == "__main__":
    raise SystemExit(main())
