"""Finds tune files, by path or by the name of a tune that comes with the program, and its problems."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import companion
from companion.score.abc import read_abc
from companion.score.choose import choose_tune
from companion.score.model import Tune, Tunebook
from companion.score.place import Problem, Severity
from fingering.errors import UserError


def bundled_folder() -> Path:
    """The folder of the tunes that come with the program: inside the installed package, or the checkout's own."""
    package = Path(companion.__file__).resolve().parent
    installed = package / "tunes"
    return installed if installed.is_dir() else package.parent / "tunes"


def bundled_files() -> tuple[Path, ...]:
    """The tune files that come with the program, by name."""
    return tuple(sorted(bundled_folder().glob("*.abc")))


def find_file(name: str) -> Path:
    """The file at the path `name`, else the bundled one of that name, with or without ``.abc``. Raises UserError."""
    path = Path(name)
    if path.exists():
        return path
    wanted = name.lower().removesuffix(".abc").replace(" ", "-")
    for file in bundled_files():
        if file.stem.lower() == wanted:
            return file
    names = ", ".join(file.stem for file in bundled_files())
    raise UserError(f"there is no file '{name}'", f"give the path of an ABC file, or one of ours: {names}", name)


def open_book(name: str) -> Tunebook:
    """Read the tune file that `name` stands for. Raises UserError when it cannot be read at all."""
    return read_abc(find_file(name))


def problems_in(book: Tunebook, tune: Tune) -> tuple[Problem, ...]:
    """What is wrong in the lines of `tune`, or in the file's head above the first tune."""
    starts = [each.place.line for each in book.tunes]
    later = [line for line in starts if line > tune.place.line]
    stop = min(later, default=sys.maxsize)
    head = min(starts)
    return tuple(each for each in book.problems if each.place.line < head or tune.place.line <= each.place.line < stop)


def sound_tune(name: str, number: int | None) -> Tune:
    """The tune to be played whole: warnings go to standard error, a line each; the first error is raised."""
    book = open_book(name)
    tune = choose_tune(book, number)
    problems = problems_in(book, tune)
    _refuse_errors([each for each in problems if each.severity is Severity.ERROR])
    for problem in problems:
        print(f"eightholes: {problem}", file=sys.stderr)
    return tune


def _refuse_errors(errors: Sequence[Problem]) -> None:
    if not errors:
        return
    first = errors[0]
    rest = f" ({len(errors) - 1} more in this tune)" if len(errors) > 1 else ""
    raise UserError(first.what, f"{first.remedy}{rest}", str(first.place))
