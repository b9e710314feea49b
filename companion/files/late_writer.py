"""Writes changes without their owner waiting for the disk: one write after the other, of those that wait, the last."""

from __future__ import annotations

from collections.abc import Callable

from companion.files.lines import one_line
from companion.files.worker import RUNNING, Done, Failed, Worker, fault_line
from fingering.errors import UserError


class LateWriter:
    """Begins each write in a thread of its own, as soon as the one before is over. For one thread.

    name: the threads', for people who look for faults. what: "the settings cannot be kept", where a write fails for no
    reason that has a sentence. try_again: what makes it written anew.
    """

    def __init__(self, name: str, what: str, try_again: str) -> None:
        self._name, self._what, self._try_again = name, what, try_again
        self._waiting: Callable[[], str | None] | None = None
        self._writing: Worker[str | None] | None = None
        self._trouble = ""

    @property
    def trouble(self) -> str:
        """Why the last write failed, or what it returned besides, and what to do; "" where all is well."""
        match self._writing and self._writing.outcome:
            case Failed(UserError() as error):
                self.told(error)
            case Failed(error):
                self._trouble = fault_line(self._what, error, self._try_again)
            case Done(said):
                self._trouble = said or ""
        return self._trouble

    def told(self, error: UserError) -> None:
        """Keep an error as the trouble until something is written. Without its place, which would fill the line."""
        self._trouble = one_line(f"{error.what}; {error.remedy}")

    def write(self, write: Callable[[], str | None]) -> None:
        """Have `write` called once what is written now is over, in place of what waited for that. It may raise what it
        likes, and returns what is to be told besides."""
        self._waiting = write
        self.go_on()

    def go_on(self) -> None:
        """Once a frame: begin what waits, if nothing is being written."""
        if self._waiting is not None and (self._writing is None or self._writing.outcome is not RUNNING):
            self._writing = Worker(self._waiting, self._name)
            self._waiting = None
            self._writing.start()

    def close(self) -> None:
        """Write what still waits; returns when it is on the disk, or cannot be."""
        for _ in range(2):
            if self._writing:
                self._writing.join()
            self.go_on()
        if self._writing:
            self._writing.join()
