"""Whatever stands where the file of progress should be: nothing is lost, and the program goes on."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from companion.lesson.progress import schema
from companion.lesson.progress.book import ProgressBook
from tests.companion.lesson.progress.playing import TAORLUATH, heard, on_day, take
from tests.companion.lesson.progress.writer import LEARNER


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the file is kept."""
    return tmp_path / "progress.sqlite"


def works(book: ProgressBook) -> bool:
    """Whether a take is counted."""
    return book.take_in("Ann", take(on_day(0), heard(TAORLUATH, 10, 10)), on_day(0)) and "Ann" in book.learners()


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A file of several pages, closed."""
    path = tmp_path_factory.mktemp("whole") / "progress.sqlite"
    book = ProgressBook(path)
    book.take_in_all(
        LEARNER, [take(on_day(rank), heard(TAORLUATH, 9, 10), file=f"{rank}.mid") for rank in range(300)], on_day(300)
    )
    book.close()
    return path.read_bytes()


def aside(path: Path) -> list[bytes]:
    """What the files hold that were set aside."""
    others = (each for each in path.parent.iterdir() if each.is_file() and each.name.startswith(path.name))
    return [
        each.read_bytes() for each in others if each.name not in (path.name, f"{path.name}-wal", f"{path.name}-shm")
    ]


@pytest.mark.parametrize("contents", [b"no database at all" * 100, b"SQLite", b"\0" * 5000])
def test_a_file_that_is_no_database_is_set_aside(path: Path, contents: bytes) -> None:
    """Said in one line, and each one is kept."""
    for times in (1, 2):
        path.write_bytes(contents)
        book = ProgressBook(path)
        assert str(book.trouble).isprintable()
        assert "the old file is kept as" in str(book.trouble)
        assert book.is_kept
        assert works(book)
        book.close()
        assert aside(path) == [contents] * times
        path.unlink()


@pytest.mark.parametrize("share", [0.3, 0.5, 0.9])
def test_a_file_that_was_cut_short_is_set_aside(path: Path, whole: bytes, share: float) -> None:
    """As a full disk or a stick that is pulled out leaves it."""
    cut = whole[: int(share * len(whole))]
    path.write_bytes(cut)
    book = ProgressBook(path)
    assert book.trouble
    assert works(book)
    book.close()
    assert aside(path) == [cut]


def test_another_programs_database_is_set_aside(path: Path) -> None:
    """Its tables are not ours to change."""
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE theirs (x)")
    other.close()
    contents = path.read_bytes()
    book = ProgressBook(path)
    assert "another program" in str(book.trouble)
    assert works(book)
    book.close()
    assert aside(path) == [contents]


def test_a_newer_versions_file_is_left_alone(path: Path, whole: bytes) -> None:
    """One line says so, and all goes on in memory."""
    path.write_bytes(whole)
    with sqlite3.connect(path) as newer:
        newer.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
        newer.execute("PRAGMA journal_mode = DELETE")
    newer.close()
    contents = path.read_bytes()
    book = ProgressBook(path)
    assert "newer version" in str(book.trouble)
    assert str(book.trouble).isprintable()
    assert not book.is_kept
    assert works(book)
    book.close()
    assert path.read_bytes() == contents
    assert aside(path) == []


def test_without_a_folder_all_goes_on_in_memory(path: Path) -> None:
    """A file stands where the folder should be; or there is no home at all."""
    path.write_bytes(b"")
    for nowhere in (path / "below" / "progress.sqlite", None):
        book = ProgressBook(nowhere)
        assert str(book.trouble).isprintable()
        assert not book.is_kept
        assert works(book)
        book.close()


def test_each_step_from_one_version_to_the_next_is_whole_or_not_at_all(path: Path, whole: bytes) -> None:
    """A step that fails leaves the file as it was; one that does not brings it on, and what was kept stays."""
    path.write_bytes(whole)
    connection = sqlite3.connect(path, isolation_level=None)
    spoilt = (*schema.STEPS, "CREATE TABLE more (x); CREATE TABLE learners (y);")
    with pytest.raises(sqlite3.OperationalError):
        schema.migrate(connection, spoilt)
    connection.rollback()
    assert schema.version_of(connection) == schema.VERSION
    assert not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'more'").fetchall()
    schema.migrate(connection, (*schema.STEPS, "CREATE TABLE more (x);"))
    assert schema.version_of(connection) == schema.VERSION + 1
    assert connection.execute("SELECT count(*) FROM takes").fetchone() == (300,)
    connection.close()


def test_a_learner_who_is_deleted_leaves_no_byte_behind(path: Path) -> None:
    """Neither the name nor what was played, in any file of the book."""
    book = ProgressBook(path)
    book.take_in("Somebody Rare", take(on_day(0), heard(TAORLUATH, 10, 10), file="their own take.mid"), on_day(0))
    book.take_in("Ann", take(on_day(0), heard(TAORLUATH, 10, 10)), on_day(0))
    book.delete("Somebody Rare")
    assert book.learners() == ("Ann",)
    for file in path.parent.glob("progress.sqlite*"):
        assert b"Somebody Rare" not in file.read_bytes()
        assert b"their own take" not in file.read_bytes()
    book.close()
