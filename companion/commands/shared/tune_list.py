"""The tunes that the window offers: those of the file asked for, then the bundled ones."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

from companion.commands.shared.library import find_file, print_problems
from companion.files.lines import one_line
from companion.score.abc import read_abc
from companion.score.bundled import DRILLS, bundled_files, real_tunes
from companion.score.choose import choose_tune
from companion.score.formats.books import read_tunes
from companion.score.model import Tune
from companion.window.choose.book import Book, book_of, errors_line, stamp_of
from companion.window.choose.shelf import OurTunes
from fingering.errors import UserError

OPENING_TUNE = "all-hands-to-tarrowick-pier"


@dataclass(frozen=True, slots=True)
class TuneList:
    """Tunes to choose from, the one to begin with, and one line about what was wrong with its file ("" if nothing).

    book: the file that was asked for, None for none, or where it is one of ours. ours: the tunes that come with us.
    """

    tunes: tuple[Tune, ...]
    first: Tune
    notice: str = ""
    book: Book | None = None
    ours: OurTunes = field(default_factory=lambda: OurTunes(()))


def our_tunes() -> OurTunes:
    """All tunes that come with the program, playable ones only, by name, and the drills."""
    drills = (file for file in bundled_files() if file.stem == DRILLS)
    return OurTunes(tuple(real_tunes()), tuple(tune for file in drills for tune in read_abc(file).tunes if tune.order))


def bundled_tunes() -> tuple[Tune, ...]:
    """All tunes that come with the program, playable ones only: the tunes by name, then the drills."""
    ours = our_tunes()
    return (*ours.tunes, *ours.drills)


def tune_list_for(name: str | None, number: int | None, transpose: int = 0) -> TuneList:
    """The tunes of a file, then the bundled ones; what can be played is offered even from a file with errors.

    name: the file, or None for the bundled tunes alone. number: which tune of the file opens, see `choose_tune`.
    transpose: semitones to shift by while reading.

    Problems of the first tune go to standard error. Raises UserError when nothing in the file can be played.
    """
    ours = our_tunes()
    bundled = (*ours.tunes, *ours.drills)
    if name is None:
        return TuneList(bundled, _opening(bundled), ours=ours)
    path = find_file(name)
    stamp = stamp_of(path)
    read = read_tunes(path, transpose=transpose)
    first = choose_tune(read, number)
    problems = read.problems_of(first)
    print_problems(problems)
    if not any(note.note is not None for note in first.notes) and first.fits is None:
        raise UserError("nothing in this tune can be played", "write notes G A B c d e f g a", str(first.place))
    if transpose == 0 and (same := _ours_at(path, first, bundled)):
        return TuneList(bundled, same, ours=ours)  # in no list twice
    book = book_of(path, read, stamp, transpose)
    return TuneList((*book.tunes, *bundled), first, errors_line(problems), book, ours)


def _ours_at(path: Path, tune: Tune, bundled: tuple[Tune, ...]) -> Tune | None:
    """The bundled tune that `tune` is, where its file at `path` is one of the bundled ones."""
    file = next((file for file in bundled_files() if os.path.samefile(file, path)), None)
    places = {each.place: each for each in bundled}
    return places.get(tune.place._replace(source=one_line(str(file)))) if file else None


def _opening(ours: tuple[Tune, ...]) -> Tune:
    if not ours:
        raise UserError("the program's own tunes are missing", "install it again, or name a file of tunes")
    return next((tune for tune in ours if OPENING_TUNE in tune.place.source), ours[0])
