"""Records what is played as a take: a thread of its own makes its file, and writes to the disk as it happens."""

from __future__ import annotations

import contextlib
import os
import re
import threading
from collections import deque
from functools import partial
from pathlib import Path

from companion.files.worker import Worker, fault_line
from companion.midi.stream.line import Timed
from companion.midi.takes.heading import Heading
from companion.midi.takes.reading import SUFFIX, Take, build_take, holds_notes, sound_beside, voice_beside
from companion.midi.takes.standard_file import LONGEST_S, MOST_EVENTS
from companion.midi.takes.take_file import TakeFile

WRITE_EVERY_S = 0.05
"""How often what was played is written. Together with the window's frame and `run_take.SETTLED_S` this makes sure
that no note which ended 0.25 s before the program is killed is lost (`python -m tests.kills`).
"""

FULL_AT_EVENTS = MOST_EVENTS * 9 // 10
"""Messages in one take: short of MOST_EVENTS, so that what a window that was held up hands over at once still fits."""

FULL_AFTER_S = LONGEST_S / 7
"""A day."""

_LONGEST_SLUG = 40


class Recorder:
    """A take in the making. All is kept in memory as well, so that a disk that is full or not there costs no playing.

    `trouble` is the line for the screen when it cannot be written, whatever the reason, None while all is well.
    """

    def __init__(self, folder: Path, heading: Heading, *, began_s: float) -> None:
        """Begin a take in `folder`, made if need be. began_s: its beginning on the clock that stamps the messages."""
        self._trouble: str | None = None
        self._heading = heading
        self._began_s = began_s
        self._kept: list[Timed] = []
        self._unwritten: deque[Timed] = deque()
        self._file: TakeFile | None = None
        self._stop = threading.Event()
        self._writer = Worker(partial(self._write_on, folder), "take writer")
        self._writer.start()

    @property
    def trouble(self) -> str | None:
        """The line for the screen."""
        if self._writer.error:
            self._say(self._writer.error)
        return self._trouble

    @property
    def path(self) -> Path | None:
        """The take's file, None before it is made, and if it could not be."""
        return self._file.path if self._file else None

    def full_at(self, now_s: float) -> bool:
        """Whether another take is to begin, since this one is as long as can still be read."""
        return len(self._kept) >= FULL_AT_EVENTS or now_s - self._began_s >= FULL_AFTER_S

    def add(self, timed: Timed) -> None:
        """Add a message, stamped by the clock of `began_s`."""
        since = Timed(max(0.0, timed.at_s - self._began_s), timed.message)
        self._kept.append(since)
        self._unwritten.append(since)

    def finish(self, now_s: float) -> Take | None:
        """End the take and return it; None when nothing was played, and then no file is left either.

        The file is whole on the disk before anything of it is looked at, so that no take with notes can be lost.
        """
        take = self.finish_untold(now_s)
        if holds_notes(take):
            return take
        if take.path is not None:
            with contextlib.suppress(OSError):  # an empty file that stays is no loss
                take.path.unlink(missing_ok=True)
        return None

    def finish_untold(self, now_s: float) -> Take:
        """End the take and return it though no notes of it may have been told: what was played is in its sound."""
        self._stop.set()
        self._writer.join()
        return self._whole(now_s, self._close(self._end_s(now_s)))

    def rescue(self, now_s: float) -> Take | None:
        """The take as memory has it, where `finish` failed or no thread was there for it; the file stays as it is."""
        self._stop.set()
        if self._file:
            with contextlib.suppress(OSError):
                self._file.abandon()
        take = self._whole(now_s, self.path)
        return take if holds_notes(take) else None

    def _end_s(self, now_s: float) -> float:
        return max(now_s - self._began_s, self._kept[-1].at_s if self._kept else 0.0)

    def _whole(self, now_s: float, path: Path | None) -> Take:
        return build_take(self._heading, self._kept, self._end_s(now_s), path)

    def _create(self, folder: Path) -> TakeFile | None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            while True:
                with contextlib.suppress(FileExistsError):  # another window took the name in the same moment
                    return TakeFile(_free_path(folder, self._heading), self._heading)
        except Exception as error:  # whatever it is, what is played is kept in memory
            self._say(error)
            return None

    def _write_on(self, folder: Path) -> None:
        self._file = self._create(folder)
        self._write()
        while not self._stop.wait(WRITE_EVERY_S):
            self._write()
        self._write()

    def _write(self) -> None:
        if self._file is None or self._trouble:
            return
        try:
            self._file.append([self._unwritten.popleft() for _ in range(len(self._unwritten))])
        except Exception as error:
            self._say(error)

    def _close(self, end_s: float) -> Path | None:
        if self._file is None:
            return None
        try:
            if self._writer.error:  # nobody knows where it stopped
                self._file.abandon()
            else:
                self._file.finish(end_s)
        except Exception as error:
            self._say(error)
        return self._file.path

    def _say(self, error: BaseException) -> None:
        if self._trouble is None:
            remedy = "make room and play again" if isinstance(error, OSError) else "R plays it back until then"
            self._trouble = fault_line("this take is kept only until the program ends", error, remedy)


def _free_path(folder: Path, heading: Heading) -> Path:
    """A file name from the time and the title, in a class the learner too: ``2026-11-25 20-15-03 the-title anna.mid``;
    numbered if it is taken, by a take or by what lies beside one."""
    title = heading.tune.title if heading.tune else "free play"
    words = [_slug(title) or "tune", _slug(heading.learner)]
    stem = " ".join([f"{heading.began:%Y-%m-%d %H-%M-%S}", *filter(None, words)])
    names = (stem, *(f"{stem} {number}" for number in range(2, 1000)))
    paths = (folder / f"{name}{SUFFIX}" for name in names)
    return next(path for path in paths if not any(map(os.path.lexists, (path, sound_beside(path), voice_beside(path)))))


def _slug(words: str) -> str:
    return re.sub(r"\W+", "-", words.casefold()).strip("-")[:_LONGEST_SLUG]
