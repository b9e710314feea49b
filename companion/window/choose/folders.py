"""Lists a folder: its folders and its files of tunes, without what is hidden."""

from __future__ import annotations

import os
import stat
from contextlib import suppress
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from companion.files.lines import one_line
from companion.files.worker import reason
from companion.score.formats.kinds import ENDINGS
from companion.window.choose.rows import ChoiceRow, ToPath
from companion.window.choose.search import folded
from fingering.errors import UserError

MOST_ENTRIES = 20_000
"""More entries of one folder are not looked at: nobody moves through them, and a search needs but a part of a name."""


@dataclass(frozen=True, slots=True)
class FolderListing:
    """A folder's path, its folders and files of tunes in order, as rows. whole: False where it holds more than these.

    The rows are made while it is listed, in the thread that does so.
    """

    path: str
    folders: tuple[ChoiceRow, ...]
    files: tuple[ChoiceRow, ...]
    whole: bool = True


def list_folder(path: str) -> FolderListing:
    """The folder at `path`. Raises UserError where it cannot be read."""
    folders: list[str] = []
    files: list[str] = []
    try:
        with os.scandir(path) as entries:
            looked_at = list(islice(entries, MOST_ENTRIES + 1))
    except (OSError, ValueError) as error:  # ValueError: a name that can be none, with a zero byte in it
        remedy = "choose another; nothing else is changed"
        raise UserError(f"this folder cannot be read ({reason(error)})", remedy, one_line(path)) from None
    for entry in looked_at[:MOST_ENTRIES]:
        with suppress(OSError):  # a link in a circle, a drive that has gone: left out
            if _hidden(entry):
                continue
            if entry.is_dir():
                folders.append(entry.name)
            elif entry.name.lower().endswith(ENDINGS) and entry.is_file():
                files.append(entry.name)
    path = os.path.abspath(path)
    return FolderListing(
        path,
        tuple(_row(path, name, os.sep) for name in sorted(folders, key=_order)),
        tuple(_row(path, name) for name in sorted(files, key=_order)),
        len(looked_at) <= MOST_ENTRIES,
    )


def first_folder(last_file: str | None) -> str:
    """Where to look for a file first: where the last one was, else at home, else where the program was started."""
    if last_file and os.path.isdir(os.path.dirname(last_file)):
        return os.path.dirname(last_file)
    with suppress(RuntimeError):
        return str(Path.home())
    return os.path.abspath(os.curdir)


def folder_above(path: str) -> str | None:
    """The folder that holds this one; None for the topmost."""
    above = os.path.dirname(os.path.abspath(path))
    return None if above == os.path.abspath(path) else above


def _row(folder: str, name: str, after: str = "") -> ChoiceRow:
    return ChoiceRow(f"{one_line(name)}{after}", "", ToPath(os.path.join(folder, name)), folded(name))


def _order(name: str) -> tuple[str, str]:
    return name.casefold(), name


def _hidden(entry: os.DirEntry[str]) -> bool:
    if entry.name.startswith("."):
        return True
    if os.name != "nt":
        return False
    attributes: int = getattr(entry.stat(follow_symlinks=False), "st_file_attributes", 0)
    return bool(attributes & stat.FILE_ATTRIBUTE_HIDDEN)
