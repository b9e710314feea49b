"""Prints how right hearings are on takes made into sound.

python3 -m tests.hearing [--hear MODULE:FUNCTION]... [--trackers PYTHON] [--takes N] [--seed N] [--seconds S]
[--source NAME]... [--condition NAME]... [--live]

--hear: a function hear(samples, rate_hz) that returns [(onset_s, stop_s, note)], as often as there are any. --trackers:
a Python with librosa, praat-parselmouth or aubio, whose pitch trackers are tried beside (python3 -m venv DIRECTORY;
DIRECTORY/bin/pip install librosa praat-parselmouth aubio). A source or condition is named by a part of its name; the
default is all of both. Speeds are those of one core. --live: the hearing of a stream instead, as it learns and with a
scale that it knows, beside the hearing of the whole file, with how late notes are told.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from typing import TypeVar

from fingering.errors import UserError
from tests.hearing.conditions.condition import CONDITIONS
from tests.hearing.contender import by_path
from tests.hearing.live_table import LIVE_HEADS, live_trial
from tests.hearing.sources.made import SoundSource
from tests.hearing.table import HEADS, line, trial
from tests.hearing.takes import some_takes
from tests.hearing.trackers import TrackerProcess

_Named = TypeVar("_Named")


def main(arguments: Sequence[str] | None = None) -> None:
    """Try, and print as it goes."""
    parser = argparse.ArgumentParser(prog="python3 -m tests.hearing")
    parser.add_argument("--hear", action="append", default=[], metavar="MODULE:FUNCTION")
    parser.add_argument("--trackers", metavar="PYTHON")
    parser.add_argument("--takes", type=int, default=8)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--source", action="append", default=[])
    parser.add_argument("--condition", action="append", default=[])
    parser.add_argument("--live", action="store_true")
    asked = parser.parse_args(arguments)
    try:
        sources = _chosen(asked.source, {each.value: each for each in SoundSource})
        conditions = _chosen(asked.condition, {each.name: each for each in CONDITIONS})
        contenders = [by_path(path) for path in asked.hear]
    except UserError as error:
        parser.error(str(error))
    with ExitStack() as stack:
        if asked.trackers:
            contenders += stack.enter_context(TrackerProcess(asked.trackers)).contenders()
        if not contenders and not asked.live:
            parser.error("nothing to try: give --hear, --trackers or --live")
        takes = some_takes(asked.takes, asked.seed, asked.seconds)
        if asked.live:
            print(line(LIVE_HEADS), line(["---"] * len(LIVE_HEADS)), sep="\n", flush=True)
            for live_row in live_trial(takes, sources, conditions, asked.seed):
                print(line(live_row.cells()), flush=True)
            return
        print(line(HEADS), line(["---"] * len(HEADS)), sep="\n", flush=True)
        for row in trial(takes, sources, conditions, contenders, asked.seed):
            print(line(row.cells()), flush=True)


def _chosen(names: Iterable[str], known: dict[str, _Named]) -> list[_Named]:
    """What is named in part, or exactly; all where nothing is."""
    wanted = list(names)
    if not wanted:
        return list(known.values())
    found: list[_Named] = []
    for part in wanted:
        fits = [known[part]] if part in known else [each for name, each in known.items() if part in name]
        if not fits:
            raise UserError(f"there is no '{part}'", f"use one of {', '.join(known)}")
        found += [each for each in fits if each not in found]
    return found


if __name__ == "__main__":
    main()
