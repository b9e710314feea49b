"""The tunes that the window offers: those of the file asked for, then the bundled ones."""

from __future__ import annotations

from dataclasses import dataclass

from companion.commands.shared.library import open_book, print_problems
from companion.score.abc import read_abc
from companion.score.bundled import DRILLS, bundled_files
from companion.score.choose import choose_tune
from companion.score.model import Tune
from companion.score.problems import Severity
from fingering.errors import UserError

OPENING_TUNE = "all-hands-to-tarrowick-pier"


@dataclass(frozen=True, slots=True)
class TuneList:
    """Tunes to choose from, the one to begin with, and one line about what was wrong with its file ("" if nothing)."""

    tunes: tuple[Tune, ...]
    first: Tune
    notice: str = ""


def bundled_tunes() -> tuple[Tune, ...]:
    """All tunes that come with the program, playable ones only: the tunes by name, then the drills."""
    files = sorted(bundled_files(), key=lambda file: file.stem == DRILLS)
    return tuple(tune for file in files for tune in read_abc(file).tunes if tune.order)


def tune_list_for(name: str | None, number: int | None, transpose: int = 0) -> TuneList:
    """The tunes of a file, then the bundled ones; what can be played is offered even from a file with errors.

    name: the file, or None for the bundled tunes alone. number: which tune of the file opens, see `choose_tune`.
    transpose: semitones to shift by while reading.

    Problems of the first tune go to standard error. Raises UserError when nothing in the file can be played.
    """
    ours = bundled_tunes()
    if name is None:
        return TuneList(ours, _opening(ours))
    book = open_book(name, transpose)
    first = choose_tune(book, number)
    problems = book.problems_of(first)
    print_problems(problems)
    if not any(note.note is not None for note in first.notes) and first.fits is None:
        raise UserError("nothing in this tune can be played", "write notes G A B c d e f g a", str(first.place))
    errors = [problem for problem in problems if problem.severity is Severity.ERROR]
    more = f" (and {len(errors) - 1} more)" if len(errors) > 1 else ""
    playable = tuple(tune for tune in book.tunes if any(note.note is not None for note in tune.notes))
    return TuneList(playable + ours, first, f"{errors[0]}{more}" if errors else "")


def _opening(ours: tuple[Tune, ...]) -> Tune:
    if not ours:
        raise UserError("the program's own tunes are missing", "install it again, or name an ABC file")
    return next((tune for tune in ours if OPENING_TUNE in tune.place.source), ours[0])
