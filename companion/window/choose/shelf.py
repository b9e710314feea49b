"""All that can be chosen while the program runs: our tunes, our drills, the files that were opened."""

from __future__ import annotations

import os
from dataclasses import dataclass
from functools import cached_property

from companion.score.abc.tunebook import Progress
from companion.score.model import Tune
from companion.score.place import Place
from companion.window.choose.book import Book, read_book, stamp_of
from companion.window.choose.folders import FolderListing, list_folder
from companion.window.choose.recent import RecentFile
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.rows import tune_row
from companion.window.choose.watch import FileWatch


@dataclass(frozen=True, slots=True)
class OurTunes:
    """What comes with the program: tunes, and drills, which are exercises."""

    tunes: tuple[Tune, ...]
    drills: tuple[Tune, ...] = ()


class Shelf:
    """What can be chosen. `recent` keeps the files; `books` are those that were read, by path, the latest last.

    chosen: whether the user has asked for any tune yet; the first one may be the program's own choice.
    """

    def __init__(self, ours: OurTunes, recent: RecentKeeper) -> None:
        self.ours = tuple(map(tune_row, ours.tunes))
        self.drills = tuple(map(tune_row, ours.drills))
        self._our_tunes = (*ours.tunes, *ours.drills)
        self.recent = recent
        self.books: dict[str, Book] = {}
        self.chosen = False
        self._read_otherwise: dict[Place, Tune] = {}
        self._watch: FileWatch | None = None

    def open(self, path: str, progress: Progress | None = None) -> Book | FolderListing:
        """Read the file, or list the folder, at `path`; a file that is as it was is not read again. In any thread.

        Raises UserError where it cannot be read, or nothing in it can be played.
        """
        if os.path.isdir(path):
            return list_folder(path)
        known = self.books.get(os.path.realpath(path))
        if known and known.stamp is not None and known.stamp == stamp_of(path):
            return known
        return read_book(path, progress)

    def add(self, book: Book) -> None:
        """Keep a file that was opened: among the books, and unless it is ours among the recent files."""
        if self.books.pop(book.path, None) is not book:
            self._read_otherwise = {
                place: tune for place, tune in self._read_otherwise.items() if place.source != book.read.source
            }
        self.books[book.path] = book
        if not self.is_ours(book):
            self.recent.add(RecentFile(book.path, book.tunes[0].title, len(book.tunes)))

    def is_ours(self, book: Book) -> bool:
        """Whether a file is one that comes with the program, so that its tunes stand in the list already."""
        return book.path in self._our_paths

    def watch(self, book: Book | None) -> None:
        """Look after the file of the tune that was chosen; None for a tune of ours."""
        self.chosen = True
        self._watch = FileWatch(book.path, book.stamp) if book else None

    def differs(self, book: Book) -> bool:
        """Whether it is known that a book's file is no more what was read of it."""
        return self._watch is not None and self._watch.path == book.path and self._watch.differs

    def news(self, now_s: float) -> str:
        """Once a frame: one line when the file of the tune that plays has changed or gone, "" otherwise."""
        return self._watch.news(now_s) if self._watch else ""

    def replace(self, old: Tune, new: Tune) -> None:
        """From now on a tune is read otherwise: higher or lower, so that it is on the chanter."""
        self._read_otherwise[old.place] = new

    def as_read(self, tune: Tune) -> Tune:
        """A tune of a list as it is to be read: transposed, where that was chosen before."""
        return self._read_otherwise.get(tune.place, tune)

    def book_with(self, place: Place) -> Book | None:
        """The book that a tune stands in by its place; None for one of ours."""
        return next((book for book in self.books.values() if book.read.source == place.source), None)

    @cached_property
    def _our_paths(self) -> frozenset[str]:
        return frozenset(map(os.path.realpath, {tune.place.source for tune in self._our_tunes}))
