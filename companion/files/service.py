"""A process of this program that does what may hang or take long: it takes orders, and tells answers.

`ServiceProcess` is the end of whoever orders, `Orders` that of the process which obeys.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import subprocess
import sys
import time
from collections import deque
from collections.abc import Callable
from typing import Any

from companion.files.worker import RUNNING, Worker

_MOST_UNSENT = 4096
"""Orders kept for a process that does not take them; those after them are left out."""

_BLOCK = 65536
_left_alone: list[subprocess.Popen[bytes]] = []
"""Processes that hang; they end when what they wait for goes on, or when they give it up themselves."""


class ServiceProcess:
    """A child that takes orders and tells answers, with a thread for each way. Nothing here waits for it but `close`.

    Orders and answers are JSON lists, one a line. answered: is told each answer. lost: is told once that the child
    ended by itself, or that one of the threads did, with what ended it, if that is known. Both are called on a thread.
    name: the threads'.
    """

    def __init__(
        self,
        child: subprocess.Popen[bytes],
        name: str,
        answered: Callable[[list[Any]], None],
        lost: Callable[[BaseException | None], None],
    ) -> None:
        self.ended = False
        self._began_s = time.monotonic()
        self._closing = False
        self._answered = answered
        self._lost = lost
        self._unsent: queue.Queue[bytes | None] = queue.Queue(_MOST_UNSENT)
        self._child = child
        self._workers = (Worker(self._write, f"{name} orders"), Worker(self._read, f"{name} answers"))
        for worker in self._workers:
            worker.start()
            if worker.error:  # the system has no thread to give
                self._end(worker.error)
                self._close_orders()

    @property
    def age_s(self) -> float:
        """How long ago it was started."""
        return time.monotonic() - self._began_s

    def send(self, *order: Any) -> None:
        """Hand over an order; never waits."""
        with contextlib.suppress(queue.Full):
            self._unsent.put_nowait(f"{json.dumps(order)}\n".encode("ascii"))

    def close(self, waits_s: float) -> None:
        """Let the process do what it was ordered and end, and wait for that, but no longer.

        One that hangs is not killed: it ends when it goes on, while a JACK server whose client was killed as it hung
        serves nobody any more.
        """
        self._closing = True
        with contextlib.suppress(queue.Full):
            self._unsent.put_nowait(None)
        try:
            self._child.wait(waits_s)
        except subprocess.TimeoutExpired:
            _left_alone.append(self._child)
            return
        for worker in self._workers:
            worker.join()

    def _write(self) -> None:
        assert self._child.stdin is not None
        try:
            while (line := self._unsent.get()) is not None:
                self._child.stdin.write(line)
                self._child.stdin.flush()
        except (OSError, ValueError):
            pass  # the process has ended, which the other thread is told
        except BaseException as error:
            self._end(error)
            raise
        finally:
            self._close_orders()

    def _close_orders(self) -> None:
        """The end of its orders ends the process."""
        assert self._child.stdin is not None
        with contextlib.suppress(OSError, ValueError):
            self._child.stdin.close()

    def _read(self) -> None:
        """Not through a buffered file, which could not be let go of while this thread waits in it."""
        assert self._child.stdout is not None
        fault: BaseException | None = None
        rest = b""
        try:
            with self._child.stdout as answers:
                while data := os.read(answers.fileno(), _BLOCK):
                    *lines, rest = (rest + data).split(b"\n")
                    for line in lines:
                        self._answered(json.loads(line))
        except BaseException as error:
            fault = error
            raise
        finally:
            self._end(fault)

    def _end(self, fault: BaseException | None) -> None:
        """Note that the process is of no more use, and why, as the first of its threads to end tells it."""
        first, self.ended = not self.ended, True
        if first and not self._closing:
            self._lost(fault)


class Orders:
    """Reads orders from standard input in a thread. came: is called after each of them, and once they are over."""

    def __init__(self, came: Callable[[], None] = lambda: None) -> None:
        self.waiting: deque[list[Any]] = deque()
        self._came = came
        self._over = False
        self._worker = Worker(self._read, "orders")
        self._worker.start()

    @property
    def over(self) -> bool:
        """Whether there will be no more: the input has ended, or cannot be read."""
        return self._over or self._worker.outcome is not RUNNING

    def _read(self) -> None:
        try:
            for line in sys.stdin.buffer:
                self.waiting.append(json.loads(line))
                self._came()
        finally:
            self._over = True
            self._came()
