"""Keeps the settings whenever they change, without the window waiting for the disk."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from companion.files.lines import one_line
from companion.files.worker import RUNNING, Done, Failed, Worker, fault_line
from companion.window.play.settings.preferences import Preferences
from fingering.errors import UserError

TRY_AGAIN = "change any of them to try again"


class SettingsKeeper:
    """Hands settings that changed to `write`, one after the other, in threads of their own. For one thread.

    `write` may raise what it likes: the line for the screen is `trouble`, until they are written again.
    """

    def __init__(self, write: Callable[[Preferences], None]) -> None:
        self._write = write
        self._kept: Preferences | None = None
        self._wanted: Preferences | None = None
        self._writing: Worker[None] | None = None
        self._trouble = ""

    @property
    def trouble(self) -> str:
        """Why the settings cannot be kept, and what to do; "" while they are."""
        match self._writing and self._writing.outcome:
            case Failed(UserError() as error):
                # Without its place, which would fill the line.
                self._trouble = one_line(f"{error.what}; {error.remedy}")
            case Failed(error):
                self._trouble = fault_line("the settings cannot be kept", error, TRY_AGAIN)
            case Done():
                self._trouble = ""
        return self._trouble

    def keep(self, preferences: Preferences) -> None:
        """Once a frame: the settings in force. The first ones are as they were read."""
        if self._kept is None:
            self._kept = preferences
        self._wanted = preferences
        if self._writing is None or self._writing.outcome is not RUNNING:
            self._begin()

    def close(self) -> None:
        """Write what is still to be written; returns when it is on the disk, or cannot be."""
        if self._writing:
            self._writing.join()
        self._begin()
        if self._writing:
            self._writing.join()

    def _begin(self) -> None:
        if self._wanted is not None and self._wanted != self._kept:
            self._kept = self._wanted
            self._writing = Worker(partial(self._write, self._wanted), "settings writer")
            self._writing.start()
