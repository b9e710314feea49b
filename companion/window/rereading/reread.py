"""Reads a file again of which tunes play: what each of them is now, and which of its problems are new.

For a thread beside the window's.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from companion.files.lines import quoted
from companion.score.checks import check
from companion.score.choose import same_tune
from companion.score.model import Tune
from companion.score.problems import Problem, ProblemKind, Severity
from companion.score.writing import check_writing
from companion.window.choose.book import Book, can_be_played, errors_of, problems_left, read_book, stamp_of
from fingering.errors import UserError

Refit = Callable[[Tune], Tune]
"""Reads a tune of a file again, transposed so that it is on the chanter. Raises UserError."""

TOLD_ONCE = frozenset({ProblemKind.NOTE_OUTSIDE_NINE, ProblemKind.MANY_PROBLEMS})
"""Kinds that are told once of a whole tune, with all notes or problems that they are about."""


class StillWritten(Exception):
    """Raised where a file was changed while it was read, so that it has to be read once more."""


@dataclass(frozen=True, slots=True)
class Playing:
    """A tune of a book that plays: as it plays, and as it was read; another one where it is transposed."""

    tune: Tune
    read: Tune


@dataclass(frozen=True, slots=True)
class TuneNow:
    """A tune that plays and what it is now.

    before: as it plays. read: as it stands in the new book. tune: as it is to be played; another one than `read` where
    it is transposed. problems: those that were met in reading it. mistakes: those of them by which music is lost or
    would sound wrong, and that were not there before. warnings: all else that is new, also what a piper would question.
    """

    before: Tune
    read: Tune
    tune: Tune
    problems: tuple[Problem, ...]
    mistakes: tuple[Problem, ...]
    warnings: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class ReadAgain:
    """A book as it is now, and its tunes that play, in the order in which they were asked for."""

    book: Book
    tunes: tuple[TuneNow, ...]

    @property
    def mistakes(self) -> tuple[Problem, ...]:
        """All new mistakes, those in tunes that play."""
        return tuple(problem for each in self.tunes for problem in each.mistakes)

    @property
    def warnings(self) -> tuple[Problem, ...]:
        """All new warnings, each once."""
        return tuple(dict.fromkeys(problem for each in self.tunes for problem in each.warnings))


def read_again(book: Book, playing: Sequence[Playing], refit: Refit | None) -> ReadAgain:
    """Read a book's file again.

    Raises StillWritten where somebody writes it, RefusedScore and UserError where it cannot be read, or where a tune
    that plays is not in it any more.
    """
    now = read_book(book.opened, transpose=book.transpose)
    tunes = tuple(_tune_now(book, now, each, refit) for each in playing)
    if now.stamp is None or stamp_of(book.opened) != now.stamp:
        raise StillWritten
    return ReadAgain(now, tunes)


def _tune_now(book: Book, now: Book, playing: Playing, refit: Refit | None) -> TuneNow:
    read = same_tune(playing.read, book.read.tunes, now.read.tunes)
    if read is None:
        what = f"{quoted(playing.tune.title)} is not in this file any more, so it stays as it was read"
        raise UserError(what, "choose another tune with O", now.read.source)
    shifted = playing.tune is not playing.read and read.fits is not None and refit is not None
    tune = refit(read) if refit and shifted else read
    problems = problems_left(now.read.problems_of(read), read, tune)
    before = problems_left(book.read.problems_of(playing.read), playing.read, playing.tune)
    if not can_be_played(read) and not errors_of(problems):
        raise UserError(
            f"nothing in {quoted(read.title)} can be played", "write notes G A B c d e f g a", str(read.place)
        )
    fresh = new_problems((*before, *_questions(playing.tune, before)), (*problems, *_questions(tune, problems)))
    mistakes, warnings = (tuple(problem for problem in fresh if problem.severity is severity) for severity in Severity)
    if not can_be_played(read):  # whatever was wrong before: there is nothing to go on with
        mistakes = errors_of(problems)
    return TuneNow(playing.tune, read, tune, problems, mistakes, warnings)


def _questions(tune: Tune, problems: Sequence[Problem]) -> Iterable[Problem]:
    """What a piper would question in a tune; nothing in one that lost notes, whose neighbours are not those meant."""
    return () if errors_of(tuple(problems)) else (*check(tune), *check_writing(tune))


def new_problems(before: Iterable[Problem], now: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems that were not there before, wherever in the file they stood, in the order of their places."""
    known = Counter(map(_sort_of, before))
    found = []
    for problem in sorted(now, key=lambda problem: problem.place):
        sort = _sort_of(problem)
        if known[sort]:
            known[sort] -= 1
        else:
            found.append(problem)
    return tuple(found)


def _sort_of(problem: Problem) -> tuple[ProblemKind, str]:
    """What tells a problem from others of its tune: its kind and its words, without numbers of bars, which move on."""
    if problem.kind in TOLD_ONCE:
        return problem.kind, ""
    return problem.kind, "".join(sign for sign in problem.what if not sign.isdigit())
