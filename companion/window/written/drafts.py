"""Keeps a tune that was written down as a draft on the disk, without the window waiting for it."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path

from companion.files.worker import RUNNING, Failed, Worker, fault_line
from companion.files.writing import write_whole

DRAFTS = "drafts"
ENDING = ".abc"
_LONGEST_NAME = 60


def free_path(folder: Path, title: str) -> Path:
    """A file in a folder named for a tune, numbered if that name is taken."""
    stem = re.sub(r"[^\w'() -]+", "", title).strip()[:_LONGEST_NAME].strip() or "tune"
    names = (stem, *(f"{stem} {number}" for number in range(2, 10_000)))
    return next(path for name in names if not os.path.lexists(path := folder / f"{name}{ENDING}"))


class DraftKeeper:
    """Writes a draft whenever it has changed, one after the other, in threads of their own. For one thread.

    folder: of the tunes, in which drafts have a folder of their own. `trouble` is the line for the screen.
    """

    def __init__(self, folder: Path, began: datetime) -> None:
        self._folder = folder / DRAFTS
        self._name = f"draft of {began:%Y-%m-%d %H-%M-%S}"
        self._path: Path | None = None
        self._wanted = self._kept = ""
        self._writing: Worker[None] | None = None

    @property
    def path(self) -> Path | None:
        """The file of the draft, None before there is one."""
        return self._path

    @property
    def trouble(self) -> str:
        """Why the draft cannot be kept, and what to do; "" while it is."""
        match self._writing and self._writing.outcome:
            case Failed(error):
                return fault_line("the draft cannot be kept", error, "save the tune before you leave")
        return ""

    def keep(self, text: str) -> None:
        """The tune as it stands now."""
        self._wanted = text
        if self._writing is None or self._writing.outcome is not RUNNING:
            self._begin()

    def go_on(self) -> None:
        """Once a frame: write what was changed meanwhile."""
        self.keep(self._wanted)

    def close(self) -> None:
        """Write what is still to be written; returns when it is on the disk, or cannot be."""
        for _ in range(2):
            if self._writing:
                self._writing.join()
            self._begin()

    def discard(self) -> None:
        """Take the draft away, since the tune is saved."""
        if self._writing:
            self._writing.join()
        self._wanted = self._kept
        if self._path:
            with suppress(OSError):  # a draft too many is no loss
                self._path.unlink(missing_ok=True)

    def _begin(self) -> None:
        if self._wanted and self._wanted != self._kept:
            self._kept = self._wanted
            self._writing = Worker(partial(self._write, self._wanted), "draft writer", daemon=False)
            self._writing.start()

    def _write(self, text: str) -> None:
        self._folder.mkdir(parents=True, exist_ok=True)
        if self._path is None:
            self._path = free_path(self._folder, self._name)
        write_whole(self._path, text.encode("utf-8"), force=True)
