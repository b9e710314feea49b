"""Reads a file, or lists a folder, in a thread of its own, and says how far it has come."""

from __future__ import annotations

import os
from collections.abc import Callable

from companion.files.lines import LONGEST_QUOTED, one_line
from companion.files.worker import Done, Failed, Running, Worker, fault_line
from companion.score.abc.tunebook import Progress
from companion.window.choose.book import Book
from companion.window.choose.folders import FolderListing
from companion.window.choose.shelf import SetOfTunes
from fingering.errors import UserError

AT_ONCE_S = 0.04
"""Seconds that the window waits for a file: most files and folders are read in less, without a word about it."""

Opened = Book | FolderListing | SetOfTunes
Open = Callable[[str, Progress], Opened]


class ReadingStopped(Exception):
    """Raised in the reader's thread once nobody waits for it any more."""


class BookReading:
    """A file or folder that is being opened. `path` is where it is; it waits AT_ONCE_S for it, and no longer."""

    def __init__(self, path: str, open_: Open) -> None:
        self.path = path
        self._done, self._of = 0, 0
        self._stopped = False
        self._worker = Worker(lambda: open_(path, self._count), "tune reader")
        self._worker.start()
        self._worker.join(AT_ONCE_S)

    @property
    def outcome(self) -> Running | Done[Opened] | Failed:
        """What has become of it by now."""
        return self._worker.outcome

    @property
    def name(self) -> str:
        """The file's or folder's name, safe to show."""
        name = one_line(os.path.basename(self.path) or self.path)
        return name if len(name) <= LONGEST_QUOTED else f"{name[:LONGEST_QUOTED]}…"

    @property
    def words(self) -> str:
        """How far it has come."""
        return f"reading {self.name}: {self._done:,} of {self._of:,} tunes" if self._of else f"reading {self.name}"

    def why_not(self, error: BaseException) -> str:
        """One line that says why it cannot be opened, and what to do."""
        if isinstance(error, UserError):
            return one_line(f"{self.name}: {error.what}; {error.remedy}")
        return fault_line(f"{self.name} cannot be read", error, "choose another")

    def stop(self) -> None:
        """Nobody waits for it any more."""
        self._stopped = True

    def _count(self, done: int, of: int) -> None:
        if self._stopped:
            raise ReadingStopped
        self._done, self._of = done, of
