"""Reads and writes the small JSON files that the program keeps for itself, and never loses one that is spoilt."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar

from companion.files.kept_json import Table, Unfit, parse_table
from companion.files.lines import one_line
from companion.files.reading import read_limited
from companion.files.writing import write_whole
from fingering.errors import UserError

LARGEST_BYTES = 1_000_000
"""What this program keeps in one such file is some kB; more is not its own."""

_MAKE_ROOM = "see that there is room and that the folder is yours"

Value = TypeVar("Value")
Understand = Callable[[Table], Value]
"""A function from the file's table to the value that it holds. May raise Unfit or UserError."""


def read_kept(path: Path, understand: Understand[Value], what: str) -> Value | None:
    """What the file at `path` holds, made by `understand`; None where there is no file.

    what: its contents in words, like "the settings". A file that cannot be understood is renamed, so that nothing is
    lost; then UserError is raised.
    """
    if not os.path.exists(path):
        return None
    try:
        return understand(parse_table(read_limited(path, LARGEST_BYTES, "see what it is"), LARGEST_BYTES))
    except UserError as error:
        raise _set_aside(path, what, error.what) from None
    except Unfit as error:
        raise _set_aside(path, what, one_line(str(error))) from None


def write_kept(path: Path, plain: Mapping[str, Any], understand: Understand[Any], what: str) -> None:
    """Write a table to `path`, whole or not at all; a file there that cannot be understood is renamed first.

    what: its contents in words. Raises UserError where it cannot be written, or where that file cannot be renamed.
    """
    try:
        read_kept(path, understand, what)
    except UserError:
        if os.path.lexists(path):
            raise
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(f"{what} cannot be kept ({error.strerror})", _MAKE_ROOM, one_line(str(path))) from None
    try:
        write_whole(path, (json.dumps(plain, indent=1) + "\n").encode(), force=True)
    except UserError as error:
        raise UserError(f"{what} cannot be kept: {error.what}", _MAKE_ROOM, one_line(str(path))) from None


def _set_aside(path: Path, what: str, why: str) -> UserError:
    """Rename a file so that nothing of it is lost; returns the error that says so."""
    place, what = one_line(str(path)), f"{what} cannot be read ({why})"
    aside = free_name(path)
    try:
        path.rename(aside)
    except OSError as error:
        return UserError(what, f"move that file: nothing can be kept before ({error.strerror})", place)
    return UserError(what, f"start afresh: the old file is kept as {one_line(aside.name)}", place)


def free_name(path: Path) -> Path:
    """A name for a file that is set aside: the first of ``settings.json.unreadable``, ``settings.json.unreadable 2``
    and so on that is not taken."""
    wanted = path.with_name(f"{path.name}.unreadable")
    number = 1
    while os.path.lexists(wanted):
        number += 1
        wanted = path.with_name(f"{path.name}.unreadable {number}")
    return wanted
