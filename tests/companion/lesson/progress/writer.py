"""Writers that are killed in the midst of it: python3 -m tests.companion.lesson.progress.writer PATH TIMES.

Each child goes on with the book where SIGKILL ended the one before, and tells each thing that it has written. What it
told is looked for in the book, opened anew.
"""

from __future__ import annotations

import os
import random
import select
import signal
import sys
from pathlib import Path

from companion.lesson.model.steps import StepKey, StepKind
from companion.lesson.progress.book import ProgressBook
from companion.score.bundled import real_tunes
from companion.score.model import Tune
from tests.companion.lesson.progress.playing import CROSSING, TAORLUATH, heard, on_day, take

OPENING = 0.3
"""The share of writers that may be killed before they have told anything: while the book is opened."""

LEARNER = "Màiri"
LAST_DAY = 400


def a_tune() -> Tune:
    """The tune whose steps are done."""
    return next(iter(real_tunes()))


def step_of(number: int) -> StepKey:
    """A step of its own for each number."""
    return StepKey(StepKind.PHRASE, (number, number), None)


def write(path: Path, tune: Tune, first: int, out: int) -> None:
    """Write without end, a take and a step for each number, and tell each number once both are kept."""
    book = ProgressBook(path)
    number = first
    while book.trouble is None:
        day = on_day(number % LAST_DAY, hours=number / 1e4)
        played = take(day, heard(TAORLUATH, 5, 10), heard(CROSSING, 10, 10), file=f"{number}.mid")
        book.take_in(LEARNER, played, on_day(LAST_DAY))
        book.step_done(LEARNER, tune, step_of(number), on_day(LAST_DAY))
        os.write(out, b"%d\n" % number)
        number += 1
    os.write(out, b"trouble\n")


def killed(path: Path, tune: Tune, first: int, chance: random.Random) -> list[str]:
    """Let a child write until it is killed in the midst of it; what it told."""
    reads, writes = os.pipe()
    pid = os.fork()
    if pid == 0:
        try:
            write(path, tune, first, writes)
        finally:
            os._exit(1)
    os.close(writes)
    told = b"" if chance.random() < OPENING else os.read(reads, 100)
    select.select([], [], [], chance.uniform(0.0, 0.03))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    while more := os.read(reads, 4096):
        told += more
    os.close(reads)
    return told.decode().split()


def kept(path: Path, tune: Tune) -> tuple[int, int, int]:
    """How many takes and steps the book holds, and of how many times that a taorluath was asked for it tells."""
    book = ProgressBook(path)
    assert book.trouble is None, book.trouble
    account, steps = book.account(LEARNER, on_day(LAST_DAY)), len(book.steps_done(LEARNER, tune))
    asked = sum(point.asked for series in account.embellishments for point in series.points)
    book.close()
    return account.takes, steps, asked


def main(path: Path, times: int) -> None:
    """Kill so many writers; print how many takes are kept in the end. Raises AssertionError where one is lost."""
    chance, first, tune = random.Random(1), 0, a_tune()
    for _ in range(times):
        told = killed(path, tune, first, chance)
        assert "trouble" not in told
        said = int(told[-1]) + 1 if told else first
        takes, steps, asked = kept(path, tune)
        # The last one may be kept and not be told yet, its take without its step.
        assert said <= steps <= takes <= said + 1, (said, steps, takes)
        assert asked == 10 * takes, (asked, takes)
        first = steps  # a take that is there without its step is not counted twice
    print(first)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
