"""Threads that cannot end unseen: whatever becomes of one, its outcome can be asked for at any time."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from companion.files.lines import one_line
from fingering.errors import UserError

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Running:
    """The work goes on, or has not begun."""


@dataclass(frozen=True, slots=True)
class Done(Generic[Value]):
    """The work is over, and `value` is what it made."""

    value: Value


@dataclass(frozen=True, slots=True)
class Failed:
    """The work was ended by `error`."""

    error: BaseException


RUNNING = Running()


class Worker(Generic[Value]):
    """A thread that runs `work` once it is started. Its outcome is running, done or failed, and never lost.

    Whoever started it asks for the outcome, as a window does once a frame. Nothing is printed.
    """

    def __init__(self, work: Callable[[], Value], name: str, *, daemon: bool = True) -> None:
        """name: the thread's, for people who look for faults. daemon: whether the program may end before it."""
        self._work = work
        self._outcome: Running | Done[Value] | Failed = RUNNING
        self._thread = threading.Thread(target=self._run, name=name, daemon=daemon)

    @property
    def outcome(self) -> Running | Done[Value] | Failed:
        """What has become of the work by now. Any thread may ask."""
        return self._outcome

    @property
    def error(self) -> BaseException | None:
        """What ended the work, None while it goes on and where it is done."""
        return self._outcome.error if isinstance(self._outcome, Failed) else None

    def start(self) -> None:
        """Begin. Where the system has no thread to give, the work has failed."""
        try:
            self._thread.start()
        except RuntimeError as error:
            if self._thread.ident is not None:  # started before: a mistake of the caller's
                raise
            self._outcome = Failed(error)

    def join(self, most_s: float | None = None) -> None:
        """Wait until the work is over, `most_s` seconds at most; one that never began is over."""
        if self._thread.is_alive():
            self._thread.join(most_s)

    def _run(self) -> None:
        try:
            self._outcome = Done(self._work())
        except BaseException as error:  # also what would end a thread without a word, as SystemExit
            self._outcome = Failed(error)


class StandingWorker(Generic[Value]):
    """A thread that does the same `work` each time it is asked, for work that comes back several times a second.

    To start a thread takes up to some ms of the caller's time on a busy computer, to ask one that stands ready some µs.
    For one caller, which asks again only once the work is over. The program may end before it.
    """

    def __init__(self, work: Callable[[], Value], name: str) -> None:
        """name: the thread's, for people who look for faults."""
        self._work = work
        self._name = name
        self._outcome: Running | Done[Value] | Failed | None = None
        self._asked = threading.Event()
        self._thread: threading.Thread | None = None
        self._closed = False

    @property
    def outcome(self) -> Running | Done[Value] | Failed | None:
        """What has become of the work that was asked for last; None before any was."""
        return self._outcome

    def ask(self) -> None:
        """Have the work done once more. Where the system has no thread to give, it has failed."""
        self._outcome = RUNNING
        if self._thread is None:
            thread = threading.Thread(target=self._run, name=self._name, daemon=True)
            try:
                thread.start()
            except RuntimeError as error:
                self._outcome = Failed(error)
                return
            self._thread = thread
        self._asked.set()

    def close(self) -> None:
        """Let the thread end, after what it does now; nobody waits for that."""
        self._closed = True
        self._asked.set()

    def _run(self) -> None:
        while True:
            self._asked.wait()
            self._asked.clear()
            if self._closed:
                return
            try:
                self._outcome = Done(self._work())
            except BaseException as error:  # also what would end a thread without a word, as SystemExit
                self._outcome = Failed(error)


def fault_line(what: str, error: BaseException, remedy: str) -> str:
    """One line about work that failed: what it was, why in brackets, and what to do; a user's mistake tells itself."""
    if isinstance(error, UserError):
        return one_line(str(error))
    return one_line(f"{what} ({reason(error)}); {remedy}")


def reason(error: BaseException) -> str:
    """Why something failed, in a few words that can stand in brackets."""
    if isinstance(error, OSError):
        return (error.strerror or str(error)).lower() or "the system refused it"
    if isinstance(error, MemoryError):
        return "there is not enough memory"
    words = str(error)
    return f"{type(error).__name__}: {words}" if words else type(error).__name__
