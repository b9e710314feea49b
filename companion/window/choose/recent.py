"""Keeps which files of their own a user opened lately, in one small file among the program's own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from companion.files.folders import data_folder
from companion.files.keeping import read_kept, write_kept
from companion.files.kept_json import LONGEST_TEXT, Table
from companion.files.lines import one_line
from fingering.errors import UserError

MOST_FILES = 30
"""More are not looked through; what was opened before is still where it was."""

MOST_TUNES = 1_000_000
_LONGEST_TITLE = 200
_WHAT = "the list of recent files"


@dataclass(frozen=True, slots=True)
class RecentFile:
    """A file that was opened: its absolute path, the title of its first tune, and how many tunes it held then."""

    path: str
    title: str
    tunes: int = 1


def recent_path() -> Path:
    """Where the list is kept. Raises UserError."""
    return data_folder() / "recent.json"


def read_recent(path: Path) -> tuple[RecentFile, ...]:
    """The files, the latest first; none where there is no list yet. Raises UserError for a spoilt one, set aside."""
    return read_kept(path, _from_table, _WHAT) or ()


def write_recent(path: Path, added: Iterable[RecentFile]) -> str:
    """Put files, the latest first, ahead of those that are kept; returns one line about a spoilt list, "" for none.

    What another window added meanwhile stays. Raises UserError where the list cannot be written.
    """
    kept: tuple[RecentFile, ...] = ()
    spoilt = ""
    try:
        kept = read_recent(path)
    except UserError as error:
        if path.exists():
            raise
        spoilt = one_line(f"{error.what}; {error.remedy}")
    write_kept(path, _to_plain(merged(added, kept)), _from_table, _WHAT)
    return spoilt


def merged(added: Iterable[RecentFile], kept: Iterable[RecentFile]) -> tuple[RecentFile, ...]:
    """Both lists as one, each file once, where it stands first; those whose path is too long to keep are left out."""
    files: dict[str, RecentFile] = {}
    for file in (*added, *kept):
        if len(file.path) <= LONGEST_TEXT:
            files.setdefault(file.path, file)
    return tuple(files.values())[:MOST_FILES]


def _to_plain(files: Iterable[RecentFile]) -> dict[str, dict[str, str | int]]:
    return {file.path: {"title": file.title[:_LONGEST_TITLE], "tunes": file.tunes} for file in files}


def _from_table(plain: Table) -> tuple[RecentFile, ...]:
    rows = ((path, plain.table(path)) for path in plain.keys[:MOST_FILES])
    return tuple(RecentFile(path, row.text("title"), row.whole("tunes", 1, MOST_TUNES)) for path, row in rows)
