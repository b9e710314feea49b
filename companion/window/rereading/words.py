"""Says in one line what became of a tune whose file was read again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby

from companion.files.lines import LONGEST_QUOTED, one_line
from companion.schedule.rewritten.matching import BarChanges, changes
from companion.score.model import Tune
from companion.score.problems import Problem, RefusedScore
from companion.window.core.wording import bar_words
from companion.window.rereading.reread import ReadAgain
from fingering.errors import UserError

MOST_RUNS = 3
"""Runs of bars that are named; of more, only how many bars they are."""


def read_again_line(again: ReadAgain, at: datetime, *, in_set: bool) -> str:
    """What changed, and the first new warning. at: when it was read. in_set: whether each tune is to be named."""
    told = []
    for each in again.tunes:
        words = change_words(each.before, each.tune)
        told.append(f"{_short(each.tune.title)}: {words}" if in_set else words)
    line = f"read again {at:%H:%M:%S}: {'; '.join(told)}"
    warned = f"; {problem_line(again.book.name, again.warnings)}" if again.warnings else ""
    return one_line(line + warned)


def change_words(before: Tune, now: Tune) -> str:
    """What changed of a tune: "bar 5 changed"."""
    found = changes(before, now)
    if found.count:
        return _bars_words(found)
    if (before.tempo, *(bar.tempo for bar in before.bars)) != (now.tempo, *(bar.tempo for bar in now.bars)):
        return "the tempo changed"
    if before.order != now.order:
        return "the order of its bars changed"
    if (before.title, before.composer, before.rhythm) != (now.title, now.composer, now.rhythm):
        return "its heading changed"
    return "the music is as it was"


def problem_line(name: str, problems: Sequence[Problem]) -> str:
    """The first of some problems, with the file's name, line and column, and how many more there are."""
    first = problems[0]
    more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
    return one_line(f"{_short(name)}:{first.place.line}:{first.place.column}{more}: {first.what}; {first.remedy}")


def why_not_read(name: str, error: UserError) -> str:
    """Why a file that changed cannot be read any more, and what to do."""
    if isinstance(error, RefusedScore):
        return problem_line(name, (error.problem,))
    return one_line(f"{_short(name)}: {error.what}; {error.remedy}")


def gone_line(name: str) -> str:
    """A file is away for good."""
    return f"{_short(name)} is gone; what was read of it stays"


def waiting_line(name: str) -> str:
    """A file has changed while another screen shows something that was made of it."""
    return (
        f"{_short(name)} has changed since; what is shown here is from before, and the tune follows once you are back"
    )


def _bars_words(found: BarChanges) -> str:
    kinds = (
        (found.changed, "changed", "changed"),
        (found.new, "is new", "are new"),
        (found.gone, "is gone", "are gone"),
    )
    return ", ".join(
        f"{_numbers_words(numbers)} {one if len(numbers) == 1 else several}"
        for numbers, one, several in kinds
        if numbers
    )


def _numbers_words(numbers: Sequence[int]) -> str:
    """Bars by their numbers: "bar 5", "bars 5 and 7", "bars 2 to 4 and 7"."""
    if len(numbers) == 1:
        return bar_words(numbers[0])
    runs = list(_runs(sorted(numbers)))
    if len(runs) > MOST_RUNS:
        return f"{len(numbers)} bars"
    *others, last = runs
    return f"bars {', '.join(others)} and {last}" if others else f"bars {last}"


def _runs(numbers: Sequence[int]) -> Iterator[str]:
    """Yield runs of numbers: "2 to 4"; two are told as two."""
    for _, group in groupby(enumerate(numbers), key=lambda each: each[1] - each[0]):
        run = [number for _, number in group]
        if len(run) > 2:
            yield f"{run[0]} to {run[-1]}"
        else:
            yield from map(str, run)


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_QUOTED else f"{name[:LONGEST_QUOTED]}…"
