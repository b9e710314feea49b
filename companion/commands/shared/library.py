"""Finds and reads tune files, by path or by the name of a tune that comes with the program."""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Sequence
from itertools import chain
from pathlib import Path

from companion.score.bundled import bundled_files
from companion.score.choose import choose_tune
from companion.score.formats.books import read_tunes
from companion.score.model import Tune, Tunebook
from companion.score.problems import Problem, ProblemKind, Severity
from companion.window.choose.search import folded
from fingering.errors import UserError

MOST_PRINTED = 20
MOST_OF_A_KIND = 5
"""Problems of one tune, and of one kind in it, that are printed before it is played: a screen still shows them all."""


def find_file(name: str) -> Path:
    """The file at the path `name`, else the bundled one of that name, with or without ``.abc``. Raises UserError."""
    path = Path(name)
    if os.path.exists(path):  # false for names that cannot be, too
        return path
    wanted = folded(name.lower().removesuffix(".abc"))
    for file in bundled_files():
        if folded(file.stem) == wanted:
            return file
    names = ", ".join(file.stem for file in bundled_files())
    raise UserError(f"there is no file '{name}'", f"give the path of a file of tunes, or one of ours: {names}", name)


def open_book(name: str, transpose: int = 0) -> Tunebook:
    """Read the tune file that `name` stands for, so many semitones higher than written.

    Raises UserError when it cannot be read at all.
    """
    return read_tunes(find_file(name), transpose=transpose)


def transposed(tune: Tune) -> Tune:
    """Read the tune's file again, transposed so that all its notes are on the chanter. Raises UserError."""
    book = read_tunes(Path(tune.place.source), transpose=tune.fits or 0)
    return next((each for each in book.tunes if each.place.line == tune.place.line), tune)


def sound_tune(name: str, number: int | None, transpose: int = 0) -> Tune:
    """A tune without errors, to be played whole: its warnings go to standard error, its first error is raised."""
    book = open_book(name, transpose)
    return _sound(book, choose_tune(book, number))


def sound_tunes(name: str, numbers: Sequence[int] | None, transpose: int = 0) -> tuple[Tune, ...]:
    """Several tunes of a file as `sound_tune` gives one: those of these numbers, or all."""
    book = open_book(name, transpose)
    chosen = [choose_tune(book, number) for number in numbers] if numbers else book.tunes or [choose_tune(book)]
    return tuple(_sound(book, tune) for tune in chosen)


def _sound(book: Tunebook, tune: Tune) -> Tune:
    problems = book.problems_of(tune)
    error = first_error(problems)
    if error is not None:
        raise error
    print_problems(problems)
    return tune


def print_problems(problems: Sequence[Problem], prefix: str = "eightholes: ") -> None:
    """Print problems on standard error, a line each: errors before warnings, a limited number of each kind."""
    shown: list[Problem] = []
    kinds: Counter[ProblemKind] = Counter()
    errors = [problem for problem in problems if problem.kind.severity is Severity.ERROR]
    warnings = [problem for problem in problems if problem.kind.severity is Severity.WARNING]
    for problem in chain(errors, warnings):
        if kinds[problem.kind] < MOST_OF_A_KIND:
            kinds[problem.kind] += 1
            shown.append(problem)
        if len(shown) == MOST_PRINTED:
            break
    for problem in sorted(shown, key=lambda problem: problem.place):
        print(f"{prefix}{problem}", file=sys.stderr)
    more = len(problems) - len(shown)
    if more:
        print(f"{prefix}and {more} more like these; 'eightholes check FILE' lists them all", file=sys.stderr)


def first_error(problems: Sequence[Problem]) -> UserError | None:
    """The first error of a tune as one to raise, with how many more there are; None where it has warnings only."""
    errors = [each for each in problems if each.severity is Severity.ERROR]
    if not errors:
        return None
    first = errors[0]
    rest = f" ({len(errors) - 1} more in this tune)" if len(errors) > 1 else ""
    return UserError(first.what, f"{first.remedy}{rest}", str(first.place))
