"""A file is written whole or not at all; through the command line: tests/companion/commands/test_outputs.py."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from companion.files.writing import whole_draft, whole_file, write_all, write_whole
from fingering.errors import UserError


def _write_while_another_does(path: Path) -> None:
    with whole_file(path) as stream:
        stream.write(b"ours")
        path.write_bytes(b"theirs")


def _begin_and_raise(path: Path, interruption: type[BaseException]) -> None:
    with whole_file(path) as stream:
        stream.write(b"half")
        raise interruption


def _draft_and_raise(path: Path, interruption: type[BaseException]) -> None:
    with whole_draft(path, force=True) as draft:
        draft.write_bytes(b"half")
        raise interruption


def test_a_library_writes_a_draft_that_takes_the_files_place(tmp_path: Path) -> None:
    """Until then the old file stands, and it stays where the writing is interrupted."""
    path = tmp_path / "x"
    path.write_bytes(b"old")
    with pytest.raises(KeyboardInterrupt):
        _draft_and_raise(path, KeyboardInterrupt)
    with whole_draft(path, force=True) as draft:
        draft.write_bytes(b"new")
        assert path.read_bytes() == b"old"
    assert path.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [path]


def test_a_file_that_appeared_meanwhile_is_left_alone(tmp_path: Path) -> None:
    """Without force; what was written is thrown away."""
    path = tmp_path / "x"
    with pytest.raises(UserError, match="appeared meanwhile"):
        _write_while_another_does(path)
    assert path.read_bytes() == b"theirs"
    assert list(tmp_path.iterdir()) == [path]


def test_a_disk_without_hard_links_works_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As sticks and network disks are; a file that stands there is still left alone."""

    def refuse(*paths: object) -> None:
        raise PermissionError("no links here")

    monkeypatch.setattr(os, "link", refuse)
    path = tmp_path / "x"
    write_whole(path, b"ours")
    assert path.read_bytes() == b"ours"
    with pytest.raises(UserError, match="appeared meanwhile"):
        _write_while_another_does(tmp_path / "y")
    assert sorted(each.name for each in tmp_path.iterdir()) == ["x", "y"]


@pytest.mark.parametrize("interruption", [KeyboardInterrupt, SystemExit, MemoryError, GeneratorExit])
def test_an_interruption_leaves_nothing(tmp_path: Path, interruption: type[BaseException]) -> None:
    """Whatever it is, it goes on upward."""
    with pytest.raises(interruption):
        _begin_and_raise(tmp_path / "x", interruption)
    assert list(tmp_path.iterdir()) == []


def test_rights_are_those_of_the_file_before_or_as_the_user_has_them_set(tmp_path: Path) -> None:
    """A new file is not hidden from others, as files made for a moment are; one that was private stays so."""
    before = os.umask(0o022)
    try:
        write_whole(tmp_path / "new", b"")
        (tmp_path / "private").write_bytes(b"")
        (tmp_path / "private").chmod(0o600)
        write_whole(tmp_path / "private", b"x", force=True)
    finally:
        os.umask(before)
    modes = [stat.S_IMODE((tmp_path / name).stat().st_mode) for name in ("new", "private")]
    assert modes == [0o644, 0o600]


def test_of_several_files_none_is_written_where_one_cannot_be(tmp_path: Path) -> None:
    """Neither those before it nor a trace of them; what stands there stays."""
    one, two, three = (tmp_path / name for name in ("one", "two", "three"))
    two.write_bytes(b"old")
    with pytest.raises(UserError, match="there already"):
        write_all({one: b"1", two: b"2", three: b"3"})
    assert [path.name for path in tmp_path.iterdir()] == ["two"]
    write_all({one: b"1", two: b"2", three: b"3"}, force=True)
    assert [path.read_bytes() for path in (one, two, three)] == [b"1", b"2", b"3"]
    assert len(list(tmp_path.iterdir())) == 3
