"""The file itself: on the disk at once, brought from each version to the last, read where it cannot be written."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from companion.lesson.progress.book import ProgressBook
from companion.lesson.progress.schema import VERSION, version_of
from tests.companion.lesson.progress.playing import TAORLUATH, heard, on_day, take

FILE = "progress.sqlite"
OLD_FILES = Path(__file__).parent / "versions"


def with_a_take(path: Path) -> None:
    """A file in which Ann has played."""
    book = ProgressBook(path)
    book.take_in("Ann", take(on_day(0), heard(TAORLUATH, 8, 8)), on_day(0))
    book.close()


def takes_in(path: Path) -> int:
    """How many takes of Ann a file holds."""
    book = ProgressBook(path)
    assert book.trouble is None
    count = book.account("Ann", on_day(0)).takes
    book.close()
    return count


def test_what_is_written_is_on_the_disk_at_once(tmp_path: Path) -> None:
    """WAL, and synchronous 2, which is FULL (SQLite's list of pragmas)."""
    book = ProgressBook(tmp_path / FILE)
    with book._database.reading() as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("PRAGMA synchronous").fetchone() == (2,)
    book.close()


def test_an_empty_file_becomes_the_last_version(tmp_path: Path) -> None:
    """As does one that is not there."""
    (tmp_path / FILE).touch()
    with_a_take(tmp_path / FILE)
    with closing(sqlite3.connect(tmp_path / FILE)) as connection:
        assert version_of(connection) == VERSION


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_file_of_each_version_is_brought_to_the_last(version: int, tmp_path: Path) -> None:
    """From a file of that version as it was written then, with nothing of it lost."""
    with closing(sqlite3.connect(tmp_path / FILE)) as connection:
        connection.executescript((OLD_FILES / f"{version}.sql").read_text())
    assert takes_in(tmp_path / FILE) == 1
    book = ProgressBook(tmp_path / FILE)
    assert book.known("Ann", on_day(1)).sure == {TAORLUATH}
    book.close()


def test_what_stands_in_the_way_is_set_aside_and_not_waited_for(tmp_path: Path) -> None:
    """A folder; a pipe into which nobody writes."""
    (tmp_path / FILE).mkdir()
    ProgressBook(tmp_path / FILE).close()
    assert (tmp_path / f"{FILE}.unreadable").is_dir()
    os.mkfifo(tmp_path / "other")
    ProgressBook(tmp_path / "other").close()
    assert (tmp_path / "other.unreadable").is_fifo()


def test_what_can_be_read_where_nothing_can_be_written_is_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As in a folder of another's, or on a disk that is read only; the file stays as it is."""
    path = tmp_path / FILE
    with_a_take(path)
    before = path.read_bytes()

    def refuse(*_: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("companion.files.locking.os.open", refuse)
    book = ProgressBook(path)
    assert not book.is_kept
    assert book.known("Ann", on_day(0)).sure == {TAORLUATH}
    book.take_in("Ann", take(on_day(1)), on_day(1))
    book.close()
    assert path.read_bytes() == before
