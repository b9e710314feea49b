"""Notices when a file is changed, goes away or comes back, and waits until whoever writes it has done."""

from __future__ import annotations

import enum

from companion.files.worker import RUNNING, Done, StandingWorker
from companion.window.choose.book import Stamp, stamp_of

EVERY_S = 0.25
SOON_S = 0.06
"""How often a file is looked at: as it was, and while it changes."""

QUIET_S = 0.15
"""For so long a file must have stayed as it is before it is read: many editors empty it first and then write it, or
write it piece by piece. Common practice, no source."""

GONE_S = 2.0
"""For so long a file must be away, or empty, before that is taken as meant: many editors put it aside, and then write
another. Common practice, no source."""


class FileNews(enum.Enum):
    """What has become of a file since it was last asked for.

    CHANGED: it is another one, and quiet. GONE: it is away for good. BACK: it is there again as it was read.
    """

    NOTHING = "nothing"
    CHANGED = "changed"
    GONE = "gone"
    BACK = "back"


class FileWatch:
    """Looks at one file four times a second, in a thread of its own: a drive may be far away. For one thread.

    stamp: that of the file when it was read, None where it went away meanwhile.
    """

    def __init__(self, path: str, stamp: Stamp | None) -> None:
        self._read = self._seen = stamp
        self._since_s = 0.0
        self._gone = self._looking = False
        self._looker = StandingWorker(lambda: stamp_of(path), "file watch")
        self._next_s: float | None = None

    @property
    def at_rest(self) -> bool:
        """Whether the file is not being looked at just now."""
        return self._looker.outcome is not RUNNING

    @property
    def differs(self) -> bool:
        """Whether the file is not, or may not be, what was read of it."""
        return self._seen != self._read

    def news(self, now_s: float) -> FileNews:
        """Once a frame: what has become of the file. What has CHANGED counts as read from then on."""
        told, looked = FileNews.NOTHING, self._looker.outcome
        if self._looking and looked is not RUNNING:
            self._looking = False
            if isinstance(looked, Done):
                told = self._compared(looked.value, now_s)
            self._next_s = now_s + (SOON_S if self.differs and self._seen else EVERY_S)
        if not self._looking and (self._next_s is None or now_s >= self._next_s):
            self._looking = True
            self._looker.ask()
        return told

    def close(self) -> None:
        """Nobody asks after the file any more."""
        self._looker.close()

    def _compared(self, stamp: Stamp | None, now_s: float) -> FileNews:
        if stamp != self._seen:
            self._seen, self._since_s = stamp, now_s
        quiet_s = now_s - self._since_s
        if stamp is None:
            if self._gone or quiet_s < GONE_S:
                return FileNews.NOTHING
            self._gone = True
            return FileNews.GONE
        if stamp == self._read:
            was_gone, self._gone = self._gone, False
            return FileNews.BACK if was_gone else FileNews.NOTHING
        if quiet_s < (QUIET_S if stamp.size else GONE_S):
            return FileNews.NOTHING
        self._read, self._gone = stamp, False
        return FileNews.CHANGED
