"""Follows one book of which something plays: watches its file, and reads it again once it has changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from companion.files.worker import RUNNING, Done, Failed, Worker, fault_line
from companion.score.model import Tune
from companion.window.choose.book import Book
from companion.window.rereading.reread import Playing, ReadAgain, Refit, StillWritten, read_again
from companion.window.rereading.watch import FileNews, FileWatch
from companion.window.rereading.words import problem_line, why_not_read
from fingering.errors import UserError


class BookWatch:
    """One book, as it was read last. For one thread.

    trouble: why what is in its file now cannot be played, and what to do; "" while it can. ready: what was read of it
    since, and can be; None for nothing. gone: whether its file is away. original: from a tune of the book as it plays
    to the same as it was read.
    """

    def __init__(self, book: Book, original: Callable[[Book, Tune], Tune], refit: Refit | None) -> None:
        self.book = book
        self.trouble = ""
        self.ready: ReadAgain | None = None
        self.gone = False
        self._original = original
        self._refit = refit
        self._watch = FileWatch(book.opened, book.stamp)
        self._reading: Worker[ReadAgain] | None = None
        self._changed = False

    @property
    def differs(self) -> bool:
        """Whether its file is known not to be what was read of it and plays."""
        return bool(self._changed or self._reading or self.ready or self.trouble or self.gone)

    @property
    def at_rest(self) -> bool:
        """Whether nothing is looked at or read just now."""
        return self._watch.at_rest and (self._reading is None or self._reading.outcome is not RUNNING)

    def pass_time(self, now_s: float, playing: Sequence[Tune]) -> FileNews:
        """Once a frame; what has become of the file, which is read again by itself. playing: its tunes that play."""
        news = self._watch.news(now_s)
        match news:
            case FileNews.CHANGED:
                self._changed, self.gone = True, False
            case FileNews.GONE | FileNews.BACK:
                self.gone = news is FileNews.GONE
            case _:
                pass
        if self._reading and self._reading.outcome is not RUNNING:
            self._take(self._reading)
            self._reading = None
        if self.ready and not _are(playing, [each.before for each in self.ready.tunes]):
            self.ready, self._changed = None, True  # another tune of it was chosen meanwhile
        if self._changed and self._reading is None:
            self._changed = False
            asked = tuple(Playing(tune, self._original(self.book, tune)) for tune in playing)
            self._reading = Worker(partial(read_again, self.book, asked, self._refit), "tune reader")
            self._reading.start()
        return news

    def close(self) -> None:
        """Nothing of the book plays any more."""
        self._watch.close()

    def carry_on(self, book: Book) -> None:
        """What was ready is what plays now, a tune of this book."""
        self.book, self.ready = book, None

    def _take(self, reading: Worker[ReadAgain]) -> None:
        match reading.outcome:
            case Done(again) if again.mistakes:
                self.ready, self.trouble = None, problem_line(self.book.name, again.mistakes)
            case Done(again):
                self.ready, self.trouble = again, ""
            case Failed(StillWritten()):
                pass  # it is told again once it is quiet
            case Failed(UserError() as error):
                self.ready, self.trouble = None, why_not_read(self.book.name, error)
            case Failed(error):
                remedy = "save it again"
                self.ready, self.trouble = None, fault_line(f"{self.book.name} cannot be read again", error, remedy)


def _are(some: Sequence[Tune], others: Sequence[Tune]) -> bool:
    """Whether both are the very same tunes."""
    return len(some) == len(others) and all(one is other for one, other in zip(some, others, strict=True))
