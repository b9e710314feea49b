"""Writes files whole or not at all: an error half-way leaves the old file, and no trace of the new one."""

from __future__ import annotations

import contextlib
import os
import secrets
import stat
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import IO

from companion.files.lines import one_line
from fingering.errors import UserError

_ANYBODYS = 0o666  # as every program asks for; the user's umask takes from it
_OTHER_NAME = "choose another name for it"


def check_output(path: Path, *, force: bool, inputs: Iterable[Path] = (), ours: Iterable[Path] = ()) -> None:
    """Check that a file can be written, before the long work of making its contents.

    force: whether an existing file may be written over. inputs: files that are read, and `ours` those that come with
    the program: neither is ever written over, under whatever name. Raises UserError.
    """
    place = one_line(str(path))
    if _is_any_of(path, ours):
        raise UserError("this file comes with the program and is not written over", _OTHER_NAME, place)
    if _is_any_of(path, inputs):
        raise UserError("this file is read here and is not written over", _OTHER_NAME, place)
    with _our_errors(path):
        _check_what_stands_there(path, force=force)
        # Asking for rights is no proof, as for the root user or a disk that is read only.
        _discard(*_begin_beside(_true_path(path)))


@contextlib.contextmanager
def whole_file(path: Path, *, force: bool = False) -> Iterator[IO[bytes]]:
    """A stream for the bytes of a file, which gets its name once all of them are on the disk.

    force: whether an existing file is written over; without it, a file that appeared meanwhile is left alone. A link is
    followed. Raises UserError where it cannot be written; then, and where the caller raises, no trace of it is left.
    """
    with _draft_of(path, force=force) as (descriptor, _), os.fdopen(descriptor, "wb") as stream:
        yield stream
        stream.flush()
        os.fsync(stream.fileno())


@contextlib.contextmanager
def whole_draft(path: Path, *, force: bool = False) -> Iterator[Path]:
    """Yield the path of an empty, closed temporary file for a library that opens files itself; else as `whole_file`.

    It must be closed again when the block ends.
    """
    with _draft_of(path, force=force) as (descriptor, draft):
        os.close(descriptor)
        yield draft
        written = os.open(draft, os.O_RDWR)
        try:
            os.fsync(written)
        finally:
            os.close(written)


@contextlib.contextmanager
def _draft_of(path: Path, *, force: bool) -> Iterator[tuple[int, Path]]:
    """An open temporary file that takes the place of `path` when the block ends, and goes where that raises."""
    with _our_errors(path):
        _check_what_stands_there(path, force=force)
        target = _true_path(path)
        descriptor, draft = _begin_beside(target)
        try:
            yield descriptor, draft
            _put_in_place(draft, target, force=force)
        except BaseException:  # an interruption too leaves nothing behind
            with contextlib.suppress(OSError):
                draft.unlink()
            raise


def write_whole(path: Path, data: bytes, *, force: bool = False) -> None:
    """Write a file of these bytes, as `whole_file` does."""
    with whole_file(path, force=force) as stream:
        stream.write(data)


def write_all(contents: Mapping[Path, bytes], *, force: bool = False) -> None:
    """Write several files as `write_whole` does one: they get their names once all of them are on the disk."""
    drafts: list[tuple[Path, Path, Path]] = []
    try:
        for path, data in contents.items():
            with _our_errors(path):
                _check_what_stands_there(path, force=force)
                target = _true_path(path)
                descriptor, draft = _begin_beside(target)
                drafts.append((path, target, draft))
                with os.fdopen(descriptor, "wb") as stream:
                    stream.write(data)
                    stream.flush()
                    os.fsync(stream.fileno())
        for path, target, draft in drafts:
            with _our_errors(path):
                _put_in_place(draft, target, force=force)
    except BaseException:  # an interruption too leaves nothing behind
        for _, _, draft in drafts:
            with contextlib.suppress(OSError):
                draft.unlink()
        raise


@contextlib.contextmanager
def _our_errors(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise UserError(
            f"this cannot be written ({why})", "choose another name or folder", one_line(str(path))
        ) from None


def _check_what_stands_there(path: Path, *, force: bool) -> None:
    """Refuse a path that must not, or cannot, be written over. Raises UserError, OSError for an impossible name."""
    place = one_line(str(path))
    try:
        mode = os.stat(path).st_mode
    except FileNotFoundError:
        parent = path.parent
        if not parent.is_dir():
            raise UserError(
                f"there is no folder {one_line(str(parent))}", "make it, or choose another", place
            ) from None
        return
    if stat.S_ISDIR(mode):
        raise UserError("this is a folder", "name a file in it", place)
    if not stat.S_ISREG(mode):
        raise UserError("this is a device or a pipe, not a file", "name a file, and copy it from there", place)
    if not force:
        raise UserError("this file is there already", "choose another name, or write over it with --force", place)


def _is_any_of(path: Path, others: Iterable[Path]) -> bool:
    """Whether a path leads to one of these files, also through links and other spellings."""
    for other in others:
        with contextlib.suppress(OSError, ValueError):  # what is not there is nobody's
            if os.path.samefile(path, other):
                return True
    return False


def _true_path(path: Path) -> Path:
    return Path(os.path.realpath(path))


def _begin_beside(target: Path) -> tuple[int, Path]:
    """An open temporary file in the folder of `target`, with the rights of the file that stands there."""
    draft = target.with_name(f".eightholes-{secrets.token_hex(8)}.part")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    descriptor = os.open(draft, flags, _ANYBODYS)
    with contextlib.suppress(OSError):  # rights are no reason to lose the work
        os.chmod(draft, stat.S_IMODE(os.stat(target).st_mode))
    return descriptor, draft


def _discard(descriptor: int, draft: Path) -> None:
    os.close(descriptor)
    draft.unlink()


def _put_in_place(draft: Path, target: Path, *, force: bool) -> None:
    """Rename the finished file; without force only if the name is still free, which the system decides in one step."""
    try:
        if force:
            draft.replace(target)
        elif os.name == "nt":
            draft.rename(target)  # refuses there what is taken
        else:
            _claim(draft, target)
    except FileExistsError:
        what = "this file has appeared meanwhile and is left alone"
        raise UserError(what, "choose another name, or write over it with --force", one_line(str(target))) from None


def _claim(draft: Path, target: Path) -> None:
    try:
        os.link(draft, target)
    except FileExistsError:
        raise
    except OSError:  # a disk without hard links: an empty file of that name claims it first
        os.close(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL))
        draft.replace(target)
    else:
        draft.unlink()
