"""Writes what a microphone brings to a file from a thread of its own, since a disk may be slow."""

from __future__ import annotations

import queue
from collections import deque
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from companion.files.lines import one_line
from companion.files.worker import RUNNING, Worker, reason
from companion.hearing.files.flac_file import FlacFile
from fingering.errors import UserError

PAST_S = 10.0
"""A recording may begin so far before it was ordered: the order comes with the first note of a take, which was over
when it was told."""

MOST_UNWRITTEN_S = 30.0
"""Sound kept for a disk that does not take it."""

Told = Callable[[UserError | None, int], None]
"""Is told, on the recorder's thread, once a recording is over: what went wrong, and how many samples were kept."""


class RecentSound:
    """The last seconds of a sound, by the numbers of their samples."""

    def __init__(self, rate_hz: int) -> None:
        self.stop = 0
        self._most = round(PAST_S * rate_hz)
        self._blocks: deque[NDArray[np.float32]] = deque()
        self._held = 0

    @property
    def first(self) -> int:
        """The number of the oldest sample that is still there."""
        return self.stop - self._held

    def put(self, samples: NDArray[np.float32]) -> None:
        """The next samples."""
        self._blocks.append(samples)
        self._held += len(samples)
        self.stop += len(samples)
        while self._held - len(self._blocks[0]) >= self._most:
            self._held -= len(self._blocks.popleft())

    def since(self, sample: int) -> NDArray[np.float32]:
        """What there is from a sample on; all there is, if that one is no longer there."""
        later: list[NDArray[np.float32]] = []
        first = self.stop
        for block in reversed(self._blocks):  # mostly the last one alone
            if first <= sample:
                break
            later.append(block)
            first -= len(block)
        if not later:
            return np.zeros(0, np.float32)
        return np.concatenate(later[::-1])[max(0, sample - first) :]


class SoundRecorder:
    """One recording: samples from `first` on, into a file that is made at once. Raises UserError where it cannot be.

    None of its methods waits for the disk.
    """

    def __init__(self, path: Path, rate_hz: int, first: int, over: Told) -> None:
        self._file = FlacFile(path, rate_hz)
        self._place = one_line(str(path))
        self._over = over
        self._next = first
        self._stop: int | None = None
        self._unwritten: queue.Queue[NDArray[np.float32] | None] = queue.Queue()
        self._handed = self._written = 0
        self._most_waiting = round(MOST_UNWRITTEN_S * rate_hz)
        self._worker = Worker(self._run, "recorder", daemon=False)
        self._worker.start()
        if self._worker.error:
            self._file.close()
            raise UserError(f"nothing can be recorded ({reason(self._worker.error)})", "close other programs")

    @property
    def closed(self) -> bool:
        """Whether the file is closed: all is written, or no more can be."""
        return self._worker.outcome is not RUNNING

    def put(self, recent: RecentSound) -> bool:
        """Take what has come since the last call. Returns whether more is wanted."""
        stop = recent.stop if self._stop is None else min(self._stop, recent.stop)
        samples = recent.since(self._next)[: max(0, stop - self._next)]
        if len(samples):
            self._next = stop
            self._handed += len(samples)
            self._unwritten.put(samples)
        return not self.closed and (self._stop is None or recent.stop < self._stop)

    def end_at(self, sample: int) -> None:
        """Keep nothing from this sample on."""
        self._stop = sample

    def close(self) -> None:
        """Write what is left and close the file, in its thread; `over` is told once that is done."""
        self._unwritten.put(None)

    def wait(self) -> None:
        """Wait until the file is closed."""
        self._worker.join()

    def _run(self) -> None:
        fault: UserError | None = None
        try:
            self._write_all()
        except UserError as error:
            fault = error
        try:
            self._file.close()
        except UserError as error:
            fault = fault or error
        self._over(fault, self._written)

    def _write_all(self) -> None:
        while (samples := self._unwritten.get()) is not None:
            if self._handed - self._written > self._most_waiting:
                raise UserError("the disk is too slow to record", "choose another folder", self._place)
            self._file.write(samples)
            self._written += len(samples)
