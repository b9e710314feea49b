"""Reads a file's bytes safely, whatever stands at its path: a folder, a device, an endless pipe, a file of many GB."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from companion.files.lines import one_line
from fingering.errors import UserError

_CHUNK = 1 << 20


def read_limited(path: Path, most_bytes: int, remedy: str) -> bytes:
    """All bytes of a regular file that holds `most_bytes` at most.

    remedy: what to do where it holds more. Raises UserError where there is no such file, where it is no regular file,
    where it cannot be read and where it is too large. Never waits for a pipe: it is opened without blocking.
    """
    place = one_line(str(path))
    data = read_beginning(path, most_bytes + 1)
    if len(data) > most_bytes:
        raise UserError(f"the file is larger than {_size(most_bytes)}", remedy, place)
    return data


def read_beginning(path: Path, count: int) -> bytes:
    """The first `count` bytes of a regular file, or all that it has. Raises UserError as `read_limited` does."""
    place = one_line(str(path))
    try:
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            found = os.fstat(descriptor)
            _refuse_what_is_no_file(found.st_mode, place)
            return _read(descriptor, count)
        finally:
            os.close(descriptor)
    except FileNotFoundError:
        raise UserError("there is no such file", "check its name and folder", place) from None
    except IsADirectoryError:  # what opening a folder raises on Windows comes as PermissionError, told below
        raise UserError("this is a folder", "name a file in it", place) from None
    except (OSError, ValueError) as error:
        if os.path.isdir(path):
            raise UserError("this is a folder", "name a file in it", place) from None
        why = getattr(error, "strerror", None) or str(error)
        raise UserError(f"the file cannot be read ({why.lower()})", "check that you may read it", place) from None


def _refuse_what_is_no_file(mode: int, place: str) -> None:
    if stat.S_ISDIR(mode):
        raise UserError("this is a folder", "name a file in it", place)
    if not stat.S_ISREG(mode):
        raise UserError("this is a device or a pipe, not a file", "copy what it holds into a file", place)


def _read(descriptor: int, most_bytes: int) -> bytes:
    """The bytes of an open file, `most_bytes` at most: it may have grown since it was measured."""
    blocks: list[bytes] = []
    left = most_bytes
    while left > 0 and (block := os.read(descriptor, min(left, _CHUNK))):
        blocks.append(block)
        left -= len(block)
    return b"".join(blocks)


def _size(count: int) -> str:
    """A number of bytes in words: "16 MB"."""
    return f"{count / 1_000_000:.0f} MB" if count >= 1_000_000 else f"{count / 1000:.0f} kB"
