"""All that can be chosen while the program runs: our tunes, our drills, the files that were opened."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from companion.score.abc.tunebook import Progress
from companion.score.model import Tune
from companion.score.place import Place
from companion.window.choose.book import Book, read_book, stamp_of
from companion.window.choose.folders import FolderListing, list_folder
from companion.window.choose.last_set import LastSet, find_tune
from companion.window.choose.recent import RecentFile
from companion.window.choose.recent_keeper import RecentKeeper
from companion.window.choose.rows import tune_row


@dataclass(frozen=True, slots=True)
class OurTunes:
    """What comes with the program: tunes, and drills, which are exercises."""

    tunes: tuple[Tune, ...]
    drills: tuple[Tune, ...] = ()


@dataclass(frozen=True, slots=True)
class SetOfTunes:
    """Tunes that are played in a row."""

    tunes: tuple[Tune, ...]


class Shelf:
    """What can be chosen. `recent` keeps the files, `last_set` the set of tunes that was chosen last; `books` are those
    that were read, by path, the latest last.

    chosen: whether the user has asked for any tune yet; the first one may be the program's own choice. differing: the
    paths of the books whose files are known not to be any more what was read of them.
    """

    def __init__(self, ours: OurTunes, recent: RecentKeeper, last_set: LastSet | None = None) -> None:
        self.last_set = last_set or LastSet(None)
        self.ours = tuple(map(tune_row, ours.tunes))
        self.drills = tuple(map(tune_row, ours.drills))
        self._our_tunes = (*ours.tunes, *ours.drills)
        self.recent = recent
        self.books: dict[str, Book] = {}
        self.chosen = False
        self._read_otherwise: dict[Place, Tune] = {}
        self.differing: set[str] = set()

    def open(self, path: str, progress: Progress | None = None) -> Book | FolderListing:
        """Read the file, or list the folder, at `path`; a file that is as it was is not read again. In any thread.

        Raises UserError where it cannot be read, or nothing in it can be played.
        """
        if os.path.isdir(path):
            return list_folder(path)
        known = self.books.get(os.path.realpath(path))
        if known and known.stamp is not None and known.stamp == stamp_of(path):
            return known
        return read_book(path, progress, known.transpose if known else 0)

    def open_last_set(self) -> SetOfTunes:
        """Find the tunes of the set that was chosen last. In any thread. Raises UserError where one is nowhere."""
        at_hand = [*self._our_tunes, *(tune for book in tuple(self.books.values()) for tune in book.tunes)]
        return SetOfTunes(tuple(find_tune(each, at_hand) for each in self.last_set.tunes))

    def add(self, book: Book) -> None:
        """Keep a file that was opened: among the books, and unless it is ours among the recent files."""
        if self.books.pop(book.path, None) is not book:
            self._read_otherwise = {
                place: tune for place, tune in self._read_otherwise.items() if place.source != book.read.source
            }
        self.books[book.path] = book
        self.differing.discard(book.path)
        if not self.is_ours(book):
            self.recent.add(RecentFile(book.path, book.tunes[0].title, len(book.tunes)))

    def is_ours(self, book: Book) -> bool:
        """Whether a file is one that comes with the program, so that its tunes stand in the list already."""
        return book.path in self._our_paths

    def renew(self, old: Book, new: Book, read_otherwise: Mapping[Place, Tune]) -> None:
        """Put a book that was read again in the place of the old one. read_otherwise: its tunes that are transposed."""
        kept = {place: tune for place, tune in self._read_otherwise.items() if place.source != old.read.source}
        self._read_otherwise = {**kept, **read_otherwise}
        self.books.pop(old.path, None)
        self.books[new.path] = new
        self.differing -= {old.path, new.path}

    def replace(self, old: Tune, new: Tune) -> None:
        """From now on a tune is read otherwise: higher or lower, so that it is on the chanter."""
        self._read_otherwise[old.place] = new

    def as_read(self, tune: Tune) -> Tune:
        """A tune of a list as it is to be read: transposed, where that was chosen before."""
        return self._read_otherwise.get(tune.place, tune)

    def original(self, book: Book, tune: Tune) -> Tune:
        """A tune as it stands in its book, by the tune as it is read; the same where it is not transposed."""
        return next((each for each in book.read.tunes if tune is each or tune is self.as_read(each)), tune)

    def book_with(self, place: Place) -> Book | None:
        """The book that a tune stands in by its place; None for one of ours."""
        return next((book for book in self.books.values() if book.read.source == place.source), None)

    @cached_property
    def _our_paths(self) -> frozenset[str]:
        return frozenset(map(os.path.realpath, {tune.place.source for tune in self._our_tunes}))
