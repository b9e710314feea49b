"""The recent files while the program runs: read when they are first asked for, written without the window waiting."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from companion.files.late_writer import LateWriter
from companion.window.choose.recent import RecentFile, merged, read_recent, recent_path, write_recent
from fingering.errors import UserError


class RecentKeeper:
    """The files that were opened lately, the latest first. path: of their list, None for none: then nothing is kept."""

    def __init__(self, path: Path | None) -> None:
        self._path = path
        self._held: tuple[RecentFile, ...] = ()
        self._added: tuple[RecentFile, ...] = ()
        self._read = path is None
        what = "the list of recent files cannot be kept"
        self._writer = LateWriter("recent files writer", what, "open another file to try again")

    @classmethod
    def at_home(cls) -> RecentKeeper:
        """Those in the program's own folder; without a home, none are kept."""
        try:
            return cls(recent_path())
        except UserError:
            return cls(None)

    @property
    def files(self) -> tuple[RecentFile, ...]:
        """The recent files."""
        if not self._read and self._path is not None:
            self._read = True
            try:
                self._held = merged(self._held, read_recent(self._path))
            except UserError as error:
                self._writer.told(error)
        return self._held

    @property
    def trouble(self) -> str:
        """Why the list was not read or cannot be kept, and what to do; "" while all is well."""
        return self._writer.trouble

    def add(self, file: RecentFile) -> None:
        """Put a file first, and have the list written."""
        self._held = merged((file,), self._held)
        self._added = merged((file,), self._added)
        if self._path is not None:
            self._writer.write(partial(write_recent, self._path, self._added))

    def go_on(self) -> None:
        """Once a frame: write what was added, as soon as what was begun is written; what failed before goes with it."""
        self._writer.go_on()

    def close(self) -> None:
        """Write what is still to be written; returns when it is on the disk, or cannot be."""
        self._writer.close()
