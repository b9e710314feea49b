"""A lock that lets one program at a time change a file that several share."""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from companion.files.lines import one_line
from fingering.errors import UserError

_WAITS_S = 1.0
"""A change takes some ms; a window that waits longer for another one would be seen to stand still."""
_LOOKS_EVERY_S = 0.005


@contextlib.contextmanager
def locked(path: Path) -> Iterator[None]:
    """Hold the lock file beside `path` while that file is read, changed and written; makes its folder if need be.

    The system frees the lock of a program that is killed. Raises UserError where it is not to be had in time.
    """
    lock = path.with_name(f".{path.name}.lock")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        descriptor = os.open(lock, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o600)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        remedy = "see that there is room and that the folder is yours"
        raise UserError(f"this cannot be kept ({why})", remedy, one_line(str(path))) from None
    try:
        _wait_for(descriptor, path)
        yield
    finally:
        os.close(descriptor)


def _wait_for(descriptor: int, path: Path) -> None:
    gives_up_s = time.monotonic() + _WAITS_S
    while not _take(descriptor):
        if time.monotonic() > gives_up_s:
            raise UserError("another window holds this file", "close the other window", one_line(str(path)))
        time.sleep(_LOOKS_EVERY_S)


if sys.platform == "win32":
    import msvcrt

    def _take(descriptor: int) -> bool:
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

else:
    import fcntl

    def _take(descriptor: int) -> bool:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:  # a disk that knows no locks, as some network disks: better kept without than not at all
            return True
        return True
