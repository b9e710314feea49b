"""The places of the list: the first page, the tunes of a book, a folder. Each is rows in sections."""

from __future__ import annotations

import enum
import os
from dataclasses import dataclass

from companion.files.lines import one_line
from companion.score.problems import ProblemKind
from companion.window.choose.book import Book
from companion.window.choose.folders import FolderListing, first_folder, folder_above
from companion.window.choose.recent import RecentFile
from companion.window.choose.rows import ChoiceRow, ToFirstPage, ToLastSet, ToPath
from companion.window.choose.search import folded
from companion.window.choose.shelf import Shelf


@dataclass(frozen=True, slots=True)
class PageSection:
    """Rows under a heading, "" for none. found_only: shown only where a search finds some of them."""

    heading: str
    rows: tuple[ChoiceRow, ...]
    found_only: bool = False


class PageLevel(enum.IntEnum):
    """How far from the first page a place is: from a folder one comes to a book, and back."""

    FIRST = 0
    FOLDER = 1
    BOOK = 2


@dataclass(frozen=True, slots=True)
class ChoicePage:
    """One page of the list. path: of its file or folder, "" for the first page. line: a few words about it.

    sought: what a search looks for there, in words.
    """

    level: PageLevel
    title: str
    path: str
    line: str
    sections: tuple[PageSection, ...]
    sought: str = "a tune by title, composer or rhythm"


def first_page(shelf: Shelf) -> ChoicePage:
    """Recent files, a way to all others, our tunes and drills; a search looks into the books that were read as well."""
    recent = shelf.recent.files
    begin = first_folder(recent[0].path if recent else None)
    opening = ChoiceRow("open a file …", "tune files, folder by folder", ToPath(begin))
    return ChoicePage(
        PageLevel.FIRST,
        "Tunes",
        "",
        "A file or a folder that is dropped on the window opens too.",
        (
            PageSection("your last set", _last_set(shelf)),
            PageSection("recent files", tuple(_recent_row(shelf, file) for file in recent)),
            PageSection("", (opening,)),
            PageSection("our tunes", shelf.ours),
            PageSection("drills", shelf.drills),
            *(
                PageSection(f"in {book.name}", book.rows, found_only=True)
                for book in reversed(shelf.books.values())
                if len(book.rows) > 1 and not shelf.is_ours(book)
            ),
        ),
    )


def book_page(book: Book, *, differs: bool) -> ChoicePage:
    """The tunes of a book by name. differs: its file is not what was read any more, and can be read again."""
    again = (ChoiceRow("read it again", "the file has changed", ToPath(book.path)),) if differs else ()
    ways = (ChoiceRow("all tunes", "recent files, our tunes, drills", ToFirstPage()), *again)
    line = f"{len(book.rows):,} tunes, in {one_line(os.path.dirname(book.path))}"
    if any(problem.kind is ProblemKind.BOOK_TOO_LARGE for problem in book.read.around):
        line = f"the first {line}: split it to have the rest"
    sections = (PageSection("", ways), PageSection("", book.rows))
    return ChoicePage(PageLevel.BOOK, book.name, book.path, line, sections)


def folder_page(listing: FolderListing) -> ChoicePage:
    """Up a folder, folders, tune files."""
    above = folder_above(listing.path)
    up = (ChoiceRow("up a folder", _name(above), ToPath(above)),) if above else ()
    line = one_line(listing.path)
    if not listing.whole:
        line = f"this folder holds too much to show all of it: {line}"
    elif not listing.files:
        line = f"no tune files here: {line}"
    sections = (
        PageSection("", up),
        PageSection("folders", listing.folders),
        PageSection("tune files", listing.files),
    )
    return ChoicePage(PageLevel.FOLDER, _name(listing.path), listing.path, line, sections, "a folder or a file by name")


def _last_set(shelf: Shelf) -> tuple[ChoiceRow, ...]:
    titles = [one_line(each.title) or "a tune without a title" for each in shelf.last_set.tunes]
    if len(titles) < 2:
        return ()
    return (ChoiceRow(", then ".join(titles), f"{len(titles)} tunes in a row", ToLastSet(), folded(" ".join(titles))),)


def _recent_row(shelf: Shelf, file: RecentFile) -> ChoiceRow:
    name = one_line(os.path.basename(file.path))
    known = shelf.books.get(file.path)
    if file.tunes > 1:
        about, words = f"{file.tunes:,} tunes", name
    else:
        about, words = name, f"{file.title} {name}"
    words = folded(words) + (known.rows[0].words if known and file.tunes == 1 else "")
    return ChoiceRow(name if file.tunes > 1 else one_line(file.title) or name, about, ToPath(file.path), words)


def _name(path: str) -> str:
    return one_line(os.path.basename(path) or path)
