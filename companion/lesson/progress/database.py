"""The file in which progress is kept: opened, checked, brought to the last version; in memory where it cannot be.

SQLite writes ahead (WAL), and what is committed is on the disk before the call returns (synchronous=FULL). It is the
one place that knows SQLite's errors.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import stat
import threading
import weakref
from collections.abc import Iterator
from pathlib import Path

from companion.files.keeping import free_name
from companion.files.lines import one_line
from companion.files.locking import locked
from companion.lesson.progress.schema import STEPS, VERSION, migrate, version_of
from fingering.errors import UserError

BUSY_S = 10.0
"""How long a program waits for another one's transaction: each takes some ms, and an import of years some seconds."""

_WHAT = "what you have learnt"
_UNTIL_END = "it is known until the program ends"
_MAGIC = b"SQLite format 3\0"
_VERSION_AT = slice(60, 64)
"""Where the header of a database file tells its user version (SQLite's "Database File Format", section 1.3)."""

_BESIDE = ("-wal", "-shm")
_TABLES = frozenset(line.split()[2] for line in "\n".join(STEPS).splitlines() if line.startswith("CREATE TABLE"))


class _Damaged(Exception):
    """Raised where a file is no database of ours that can be read; says why."""


class Database:
    """An open database. is_kept: whether what is written outlasts the program. trouble: what is wrong, None for
    nothing. One thread at a time works with it; the others wait.
    """

    def __init__(self, connection: sqlite3.Connection, *, is_kept: bool, trouble: UserError | None = None) -> None:
        self._connection = connection
        self._lock = threading.RLock()
        # Python 3.13 complains of a connection that nobody closed; nothing depends on who does.
        self._closing = weakref.finalize(self, connection.close)
        self.is_kept = is_kept
        self.trouble = trouble

    @contextlib.contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """A transaction, which is kept whole when the block ends, and not at all where it raises. Raises UserError."""
        with self._lock, _our_errors():
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    @contextlib.contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The database as it is at one moment. Raises UserError where it cannot be read."""
        with self._lock, _our_errors():
            self._connection.execute("BEGIN")
            try:
                yield self._connection
            finally:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")

    def wipe(self) -> None:
        """Leave no byte on the disk of what was deleted. Raises UserError while another window reads or writes."""
        with self._lock, _our_errors():
            self._connection.execute("VACUUM")
            busy, *_ = self._connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if busy:
            raise UserError("it is deleted, but its traces are still on the disk", "close other windows; delete again")

    def close(self) -> None:
        """Close it; nothing that was committed depends on it."""
        with self._lock:
            self._closing()


def open_database(path: Path | None) -> Database:
    """Open the file at `path`, made where there is none; in memory, with the trouble told, where that cannot be.

    A damaged file is renamed first, with all of it; the file of a newer version of the program is left as it is.
    """
    if path is None:
        what = f"you have no home folder to keep {_WHAT} in: {_UNTIL_END}"
        return _in_memory(UserError(what, "set EIGHTHOLES_DATA to a folder of yours"))
    try:
        with locked(path):
            return _open_or_set_aside(path)
    except UserError as error:
        what = f"{_WHAT} cannot be kept, so {_UNTIL_END}: {error.what}"
        return _in_memory(UserError(what, error.remedy, error.where), path)


def _open_or_set_aside(path: Path) -> Database:
    try:
        return Database(_opened(path), is_kept=True)
    except (_Damaged, sqlite3.DatabaseError) as error:
        if isinstance(error, sqlite3.OperationalError):  # no room, no rights, or another program holds it
            raise _system_said(error, path) from None
        trouble = _set_aside(path, str(error))
    with _our_errors(path):
        return Database(_opened(path), is_kept=True, trouble=trouble)


def _opened(path: Path) -> sqlite3.Connection:
    """Raises _Damaged or sqlite3.DatabaseError for what is no database, UserError for one of a newer version."""
    _look_before(path)
    connection = _connect(str(path))
    try:
        _refuse_newer(version_of(connection), path)
        _check(connection)
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        migrate(connection)
        if not _tables_of(connection) >= _TABLES:
            raise _Damaged("it lacks tables")
    except BaseException:
        connection.close()
        raise
    return connection


def _look_before(path: Path) -> None:
    """Refuse, by its first bytes, what SQLite must not touch."""
    try:
        if not stat.S_ISREG(os.stat(path).st_mode):
            raise _Damaged("it is no file")
        with path.open("rb") as file:
            header = file.read(100)
    except FileNotFoundError:
        return
    except OSError as error:
        what = f"the file cannot be read ({(error.strerror or str(error)).lower()})"
        raise UserError(what, "see that it is yours", one_line(str(path))) from None
    if header and not header.startswith(_MAGIC):
        raise _Damaged("it is no database")
    _refuse_newer(int.from_bytes(header[_VERSION_AT], "big"), path)


def _refuse_newer(version: int, path: Path) -> None:
    if version > VERSION:
        what = f"this file is of a newer version of the program ({version}, and {VERSION} is the last known here)"
        raise UserError(what, "use that version", one_line(str(path)))


def _check(connection: sqlite3.Connection) -> None:
    if version_of(connection) == 0 and _tables_of(connection):
        raise _Damaged("it is a database of another program")
    told = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if told != "ok":
        raise _Damaged(str(told))


def _tables_of(connection: sqlite3.Connection) -> frozenset[str]:
    return frozenset(name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'"))


def _connect(where: str, *, uri: bool = False) -> sqlite3.Connection:
    # Transactions are our own (isolation_level None); the lock of Database keeps threads apart.
    connection = sqlite3.connect(where, timeout=BUSY_S, isolation_level=None, check_same_thread=False, uri=uri)
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA temp_store = MEMORY")  # nothing of a learner in a file elsewhere
    connection.execute("PRAGMA secure_delete = ON")
    return connection


def _in_memory(trouble: UserError, path: Path | None = None) -> Database:
    """A database in memory, with what can be read of the file at `path` in it."""
    connection = _connect(":memory:")
    with contextlib.suppress(sqlite3.Error, _Damaged, UserError, OSError):
        if path is not None and path.exists():
            _look_before(path)
            # Nobody writes it where we cannot: so nothing is written beside it either.
            with contextlib.closing(_connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as source:
                _check(source)
                source.backup(connection)
    migrate(connection)
    return Database(connection, is_kept=False, trouble=trouble)


def _set_aside(path: Path, why: str) -> UserError:
    """Rename a damaged file with the files beside it; what is not in the file yet goes first, lest it come into a new
    one. Returns the error that says so; raises UserError where it cannot be renamed."""
    aside, place = free_name(path), one_line(str(path))
    what = f"{_WHAT} cannot be read ({one_line(why)})"
    try:
        for end in _BESIDE:
            with contextlib.suppress(FileNotFoundError):
                path.with_name(path.name + end).rename(aside.with_name(aside.name + end))
        path.rename(aside)
    except OSError as error:
        remedy = f"move that file: nothing can be kept before ({error.strerror})"
        raise UserError(what, remedy, place) from None
    return UserError(what, f"start afresh: the old file is kept as {one_line(aside.name)}", place)


@contextlib.contextmanager
def _our_errors(path: Path | None = None) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as error:
        raise _system_said(error, path) from None


def _system_said(error: sqlite3.Error, path: Path | None) -> UserError:
    what = f"{_WHAT} cannot be kept ({one_line(str(error))})"
    remedy = "see that there is room, that the folder is yours, and close other windows"
    return UserError(what, remedy, None if path is None else one_line(str(path)))
