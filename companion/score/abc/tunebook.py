"""`read_abc` and `read_abc_text`: from an ABC file or text to a `Tunebook`."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from companion.files.lines import one_line
from companion.score.abc.header.reader import FileHeader
from companion.score.abc.text.lines import sort_lines
from companion.score.abc.text.source import decode, read_bytes, split_lines
from companion.score.abc.tune import read_tune
from companion.score.fitting import FURTHEST
from companion.score.form.problems import Problems
from companion.score.model import Tune, Tunebook
from companion.score.problems import Problem, ProblemKind
from fingering.errors import UserError

LEAST_TUNES = 1_000
CHARACTERS_OF_TUNE = 400
"""How many tunes may be read from a file: so many, and one more for so many characters. A whole pipe tune of two parts
has some 500 (counted in our own); only exercises have fewer, and nobody writes thousands of these."""

LEAST_COST = 20_000
COST_OF_CHARACTER = 0.35
"""What may be read from a file, in notes, gracenotes and words of a line: so many, and so many more for each of its
characters. Tunes come to 0.33 in a character (counted in our own and in 1,059 old reels, with four words to a bar); a
file of noise comes to three times as much, and must not take more time and memory for its size than they do."""

MOST_HEADER_LINES = 40
"""Lines of a file header that count for every tune."""


Progress = Callable[[int, int], object]
"""A function that is told now and then how many tunes of a file are read, and how many there are."""


def read_abc(path: Path, *, transpose: int = 0, progress: Progress | None = None) -> Tunebook:
    """Read an ABC file in UTF-8, UTF-16 with its mark, or Windows-1252, with any line ends.

    transpose: semitones higher than it is written. Problems within tunes are gathered in the book; what can be played
    is there. Raises UserError where the file is missing, unreadable, empty, binary, no ABC or holds no tune at all, or
    where the transposition is out of reach.
    """
    check_transposition(transpose)
    data = read_bytes(Path(path))
    problems = Problems(one_line(str(path)))
    book = _read(decode(data, problems), problems, transpose, progress)
    if not book.tunes:
        _refuse(book)
    return book


def check_transposition(semitones: int) -> None:
    """Raise UserError where a transposition is out of reach."""
    if not -FURTHEST <= semitones <= FURTHEST:
        what = f"a transposition of {semitones} semitones is out of reach"
        raise UserError(what, f"choose -{FURTHEST} to {FURTHEST}")


def read_abc_text(text: str, source: str = "<text>", *, transpose: int = 0) -> Tunebook:
    """Read ABC from a string; `source` names it in problems. A text without tunes gives an empty book. Never raises."""
    return _read(text, Problems(source), transpose)


def _refuse(book: Tunebook) -> None:
    for problem in book.problems:
        if problem.kind is not ProblemKind.NOT_UTF_8:
            raise problem.as_error()
    problems = Problems(book.source)
    what, remedy = "this is not ABC: no line begins a tune", "write X:1, T: and K: lines"
    problems.add(ProblemKind.NO_TUNE, problems.place(1, 1), what, remedy)
    raise problems.in_order()[0].as_error()


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Pause Python's garbage collector while reading.

    Reading makes many small objects and no cycles, and the collector would walk over them again and again.
    """
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            _call_all_old()
            gc.enable()


def _call_all_old() -> None:
    """Count what was made as old, or the collector would walk over all of it as soon as it is enabled."""
    if not gc.get_freeze_count():
        gc.freeze()
        gc.unfreeze()


@_collector_paused()
def _read(text: str, problems: Problems, transpose: int, progress: Progress | None = None) -> Tunebook:
    most_tunes = LEAST_TUNES + len(text) // CHARACTERS_OF_TUNE
    found = sort_lines(split_lines(text), problems, most_tunes)
    tunes: list[Tune] = []
    told: list[tuple[Problem, ...]] = []
    around: list[Problem] = []
    cost = 0
    highest_cost = LEAST_COST + round(COST_OF_CHARACTER * len(text))
    header = FileHeader.of(found.header[:MOST_HEADER_LINES], problems)
    for rank, lines in enumerate(found.tunes):
        if progress:
            progress(rank, len(found.tunes))
        if rank >= most_tunes or cost > highest_cost:
            most = f"{most_tunes:,} tunes or {highest_cost:,} notes and signs"
            what = f"this file holds more than {most}, so its rest is not read"
            problems.add(ProblemKind.BOOK_TOO_LARGE, problems.place(lines[0].number, 1), what, "split it")
            break
        read = read_tune(lines, header, problems.source, transpose)
        cost += len(header.lines) + read.cost
        if read.tune is None:
            around += read.problems
            continue
        tunes.append(read.tune)
        told.append(read.problems)
    around += problems.in_order()
    return Tunebook(problems.source, tuple(tunes), tuple(around), tuple(told))
