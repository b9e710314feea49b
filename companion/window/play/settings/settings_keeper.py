"""Keeps the settings whenever they change, without the window waiting for the disk."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from companion.files.late_writer import LateWriter
from companion.window.play.settings.preferences import Preferences


class SettingsKeeper:
    """Hands settings that changed to `write`, one after the other, in threads of their own. For one thread.

    `write` may raise what it likes: the line for the screen is `trouble`, until they are written again.
    """

    def __init__(self, write: Callable[[Preferences], None]) -> None:
        self._write = write
        self._kept: Preferences | None = None
        self._writer = LateWriter("settings writer", "the settings cannot be kept", "change any of them to try again")

    @property
    def trouble(self) -> str:
        """Why the settings cannot be kept, and what to do; "" while they are."""
        return self._writer.trouble

    def keep(self, preferences: Preferences) -> None:
        """Once a frame: the settings in force. The first ones are as they were read."""
        changed = self._kept is not None and preferences != self._kept
        self._kept = preferences
        if changed:
            self._writer.write(partial(self._write, preferences))
        else:
            self._writer.go_on()

    def close(self) -> None:
        """Write what is still to be written; returns when it is on the disk, or cannot be."""
        self._writer.close()
