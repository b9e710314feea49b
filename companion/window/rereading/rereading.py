"""Keeps the tune that plays, or the set, as its files are: read again in place when they change."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime

from companion.score.model import Tune
from companion.window.choose.book import Book
from companion.window.choose.shelf import Shelf
from companion.window.play.play_screen import PlayScreen
from companion.window.rereading.book_watch import BookWatch
from companion.window.rereading.reread import ReadAgain, Refit
from companion.window.rereading.rewriting import rewritten
from companion.window.rereading.watch import FileNews
from companion.window.rereading.words import gone_line, read_again_line, waiting_line

SHOWN_S = 8.0
"""For so long it is told what changed: two short lines are read in half of it."""


def local_time() -> datetime:
    """The time of day here."""
    return datetime.now().astimezone()


class Rereading:
    """Follows the files of what a playing screen plays, all that came from a file. For the window's thread.

    While another screen lies over the playing screen, the tune stays as it is: that screen may have the player, and
    shows what was made of the tune. refit: reads a tune transposed, None where that is not offered. now: tells the time
    of day.
    """

    def __init__(
        self, screen: PlayScreen, shelf: Shelf, refit: Refit | None, now: Callable[[], datetime] = local_time
    ) -> None:
        self._screen = screen
        self._shelf = shelf
        self._refit = refit
        self._now = now
        self._watches: dict[str, BookWatch] = {}
        self._covered = False
        self._shown_until_s = 0.0

    @property
    def trouble(self) -> str:
        """A line about a mistake in a file as it is now, until it is mended; or that another screen shows what was
        before; "" for neither.
        """
        wrong = next((each.trouble for each in self._watches.values() if each.trouble), "")
        ready = (waiting_line(each.book.name) for each in self._watches.values() if each.ready)
        return wrong or next(ready if self._covered else iter(()), "")

    @property
    def at_rest(self) -> bool:
        """Whether no file is looked at or read just now."""
        return all(each.at_rest for each in self._watches.values())

    def pass_time(self, now_s: float, *, on_top: bool) -> None:
        """Once a frame. on_top: whether nothing lies over the playing screen."""
        self._covered = not on_top
        if self._screen.news and (self.trouble or (on_top and now_s >= self._shown_until_s)):
            self._screen.news = ""
        playing = self._screen.state.row or (self._screen.state.tune,)
        books = {book.path: book for book in map(self._book_of, playing) if book}
        self._follow(books)
        for path, watch in self._watches.items():
            source = watch.book.read.source
            self._tell(watch, watch.pass_time(now_s, [tune for tune in playing if tune.place.source == source]))
            (self._shelf.differing.add if watch.differs else self._shelf.differing.discard)(path)
            if watch.ready and on_top:
                self._go_on(watch, watch.ready, now_s)

    def _book_of(self, tune: Tune) -> Book | None:
        return self._shelf.book_with(tune.place)

    def _follow(self, books: Mapping[str, Book]) -> None:
        """Watch these books by their paths, and no others."""
        for path, watch in list(self._watches.items()):
            if watch.book is not books.get(path):
                self._watches.pop(path).close()
        for path, book in books.items():
            if path not in self._watches:
                self._watches[path] = BookWatch(book, self._shelf.original, self._refit)

    def close(self) -> None:
        """Watch nothing any more."""
        self._follow({})

    def _tell(self, watch: BookWatch, news: FileNews) -> None:
        line = gone_line(watch.book.name)
        if news is FileNews.GONE:
            self._screen.tell(line)
        elif not watch.gone and self._screen.state.notice == line:
            self._screen.tell("")

    def _go_on(self, watch: BookWatch, again: ReadAgain, now_s: float) -> None:
        """Play what is written now, from where the tune stands."""
        read_otherwise = {each.read.place: each.tune for each in again.tunes if each.tune is not each.read}
        self._shelf.renew(watch.book, again.book, read_otherwise)
        state = self._screen.state
        others = (tune for tune in state.tunes if tune.place.source != watch.book.read.source)
        tunes = (*map(self._shelf.as_read, again.book.tunes), *others)
        in_set = len(state.row) > 1
        self._screen.rewrite(*rewritten(state, self._screen.position_s(), again.tunes, tunes))
        self._screen.news = read_again_line(again, self._now(), in_set=in_set)
        self._shown_until_s = now_s + SHOWN_S
        watch.carry_on(again.book)
