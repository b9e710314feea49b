"""Notices when the file of the tune that plays is changed or goes away."""

from __future__ import annotations

import os

from companion.files.lines import one_line
from companion.files.worker import RUNNING, Done, Worker
from companion.window.choose.book import Stamp, stamp_of

EVERY_S = 1.0


class FileWatch:
    """Looks at one file every second, in a thread of its own: a drive may be far away. For one thread.

    stamp: that of the file when it was read.
    """

    def __init__(self, path: str, stamp: Stamp | None) -> None:
        self.path = path
        self._stamp = stamp
        self._looking: Worker[Stamp | None] | None = None
        self._next_s: float | None = None
        self.differs = False

    @property
    def at_rest(self) -> bool:
        """Whether the file is not being looked at just now."""
        return self._looking is None or self._looking.outcome is not RUNNING

    def news(self, now_s: float) -> str:
        """Once a frame: one line when the file has become another or has gone, each time it does; "" otherwise."""
        line = ""
        if self._looking and isinstance(self._looking.outcome, Done):
            line = self._compared(self._looking.outcome.value)
            self._looking = None
        if self._looking is None and (self._next_s is None or now_s >= self._next_s):
            self._next_s = now_s + EVERY_S
            path = self.path
            self._looking = Worker(lambda: stamp_of(path), "file watch")
            self._looking.start()
        return line

    def _compared(self, stamp: Stamp | None) -> str:
        before, self._stamp = self._stamp, stamp
        if stamp == before:
            return ""
        self.differs = True
        name = one_line(os.path.basename(self.path))
        if stamp is None:
            return f"{name} is gone; what was read of it plays on"
        return f"{name} has changed; choose it again with O to hear it as it is now"
