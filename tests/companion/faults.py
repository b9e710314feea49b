"""Faults of a disk, injected below our code: files whose writing fails, as the system would have it fail."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from typing import Any, NoReturn

import pytest

DISK_ERRORS = (errno.ENOSPC, errno.EACCES, errno.EIO)
"""No room, no rights, and a disk that is broken."""

Fault = Callable[[], BaseException]


def system_error(number: int) -> OSError:
    """What Python raises for it."""
    return OSError(number, os.strerror(number))


class FailingFile:
    """An open file that takes so many writes, and raises at each one after them; all else is the real file's."""

    def __init__(self, real: Any, writes: int, fault: Fault) -> None:
        self._real = real
        self._left = writes
        self._fault = fault

    def write(self, data: Any) -> int:
        """Write, or fail."""
        self._left -= 1
        if self._left < 0:
            raise self._fault()
        written: int = self._real.write(data)
        return written

    def __enter__(self) -> FailingFile:
        return self

    def __exit__(self, *what: object) -> None:
        self._real.close()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._real, name)


def break_writes(monkeypatch: pytest.MonkeyPatch, fault: Fault, after: int = 0) -> None:
    """From now on every file that is opened for writing by its descriptor takes so many writes."""
    really = os.fdopen
    monkeypatch.setattr(os, "fdopen", lambda *how, **more: FailingFile(really(*how, **more), after, fault))


def break_call(monkeypatch: pytest.MonkeyPatch, name: str, fault: Fault) -> None:
    """From now on one of the system's calls fails, by its name in `os`: "open", "fsync", "replace", "link"."""

    def fail(*what: object, **how: object) -> NoReturn:
        raise fault()

    monkeypatch.setattr(os, name, fail)
