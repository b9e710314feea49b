"""A file of tunes as it stands in a list: what can be played of it, by name."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from companion.files.lines import one_line
from companion.score.abc.tunebook import Progress
from companion.score.formats.books import read_tunes
from companion.score.model import Tune, Tunebook
from companion.score.problems import Problem, ProblemKind, Severity
from companion.window.choose.rows import ChoiceRow, tune_row
from fingering.errors import UserError


class Stamp(NamedTuple):
    """What tells whether a file is as it was: when it was changed last, in ns, its size in bytes, and its inode, which
    is another one where an editor put a new file in the place of the old.
    """

    changed_ns: int
    size: int
    inode: int


@dataclass(frozen=True, slots=True)
class Book:
    """A file that was read: its true path, its stamp then, what was read, and the tunes that can be played as rows.

    The stamp is None where the file went away while it was read. All rows are made while it is read, in its thread.
    opened: the path by which it was opened. transpose: how many semitones higher than written it is read.
    """

    path: str
    stamp: Stamp | None
    read: Tunebook
    tunes: tuple[Tune, ...]
    rows: tuple[ChoiceRow, ...]
    opened: str
    transpose: int = 0

    @property
    def name(self) -> str:
        """The file's name, safe to show."""
        return one_line(os.path.basename(self.path))


def can_be_played(tune: Tune) -> bool:
    """Whether any of it is on the chanter, or would be if it were read higher or lower."""
    return bool(tune.order) and (tune.fits is not None or any(note.note is not None for note in tune.notes))


def book_of(path: str | Path, read: Tunebook, stamp: Stamp | None, transpose: int = 0) -> Book:
    """A file that was read as a book, so many semitones higher. Raises UserError where nothing in it can be played."""
    tunes = tuple(filter(can_be_played, read.tunes))
    if not tunes:
        raise UserError("nothing in this file can be played", "write notes G A B c d e f g a", read.source)
    return Book(os.path.realpath(path), stamp, read, tunes, tuple(map(tune_row, tunes)), str(path), transpose)


def read_book(path: str, progress: Progress | None = None, transpose: int = 0) -> Book:
    """Read a file, so many semitones higher than it is written.

    Raises UserError where it is gone, cannot be read or holds nothing that can be played.
    """
    stamp = stamp_of(path)
    return book_of(path, read_tunes(Path(path), transpose=transpose, progress=progress), stamp, transpose)


def stamp_of(path: str | Path) -> Stamp | None:
    """The stamp of a file; None where there is none."""
    try:
        told = os.stat(path)
    except (OSError, ValueError):
        return None
    return Stamp(told.st_mtime_ns, told.st_size, told.st_ino)


def errors_of(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """Those of a tune's problems by which music was lost or would sound wrong."""
    return tuple(problem for problem in problems if problem.severity is Severity.ERROR)


def problems_left(problems: tuple[Problem, ...], tune: Tune, read: Tune) -> tuple[Problem, ...]:
    """The problems that are left of a tune as it is read: once it is transposed, all its notes are on the chanter."""
    if read is tune:
        return problems
    return tuple(problem for problem in problems if problem.kind is not ProblemKind.NOTE_OUTSIDE_NINE)


def errors_line(problems: tuple[Problem, ...]) -> str:
    """The first error of a tune in one line, and how many more there are; "" for none."""
    errors = errors_of(problems)
    more = f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
    return f"{errors[0]}{more}" if errors else ""
