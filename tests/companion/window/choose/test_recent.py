"""Recent files are kept like all that the program keeps: within limits, and never lost."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from companion.window.choose.recent import MOST_FILES, RecentFile, merged, read_recent, write_recent
from companion.window.choose.recent_keeper import RecentKeeper
from fingering.errors import UserError

ONE, OTHER = RecentFile("/music/one.abc", "One"), RecentFile("/music/book.abc", "First of Many", 12)


def test_what_is_written_is_read(tmp_path: Path) -> None:
    """The latest first, each once, in a folder that is made."""
    path = tmp_path / "new" / "recent.json"
    assert read_recent(path) == ()
    assert write_recent(path, (ONE,)) == ""
    assert write_recent(path, (OTHER, ONE)) == ""
    assert read_recent(path) == (OTHER, ONE)


def test_what_another_window_added_stays(tmp_path: Path) -> None:
    """Behind what this one adds."""
    path = tmp_path / "recent.json"
    write_recent(path, (OTHER,))
    write_recent(path, (ONE,))
    assert read_recent(path) == (ONE, OTHER)


def test_the_list_stays_short(tmp_path: Path) -> None:
    """The oldest fall out, and paths that are longer than any; the file stays far below what is read."""
    path = tmp_path / "recent.json"
    write_recent(
        path, [RecentFile(f"/{'ö' * 4000}{i}", "ü" * 10_000) for i in range(100)] + [RecentFile("x" * 5000, "")]
    )
    kept = read_recent(path)
    assert len(kept) == MOST_FILES
    assert kept[0].path.endswith("0")
    assert len(kept[0].title) == 200
    assert path.stat().st_size < 1_000_000


@pytest.mark.skipif(os.name == "nt", reason="names of files are Unicode there")
def test_a_name_that_is_no_text_is_kept(tmp_path: Path) -> None:
    """As a system without rules for names has it."""
    path = tmp_path / "recent.json"
    odd = RecentFile(os.fsdecode(b"/music/\xf6.abc"), "Odd")
    write_recent(path, (odd,))
    assert read_recent(path) == (odd,)


@pytest.mark.parametrize("spoilt", ["{", "[]", '{"/a": 3}', '{"/a": {"title": "A", "tunes": 0}}', "null", "\0" * 10])
def test_a_spoilt_list_is_set_aside_and_said(tmp_path: Path, spoilt: str) -> None:
    """Whether it is read or written over first; nothing of it is lost."""
    path = tmp_path / "recent.json"
    path.write_text(spoilt)
    with pytest.raises(UserError, match="the list of recent files cannot be read"):
        read_recent(path)
    path.write_text(spoilt)
    assert "recent.json.unreadable 2" in write_recent(path, (ONE,))
    assert read_recent(path) == (ONE,)
    assert [each.read_text() for each in tmp_path.glob("*.unreadable*")] == [spoilt, spoilt]


def test_the_keeper_writes_while_the_window_goes_on(tmp_path: Path) -> None:
    """All that was added is on the disk once it is closed."""
    path = tmp_path / "recent.json"
    write_recent(path, (OTHER,))
    keeper = RecentKeeper(path)
    keeper.add(ONE)
    third = RecentFile("/music/three.abc", "Three")
    keeper.add(third)
    assert keeper.files == (third, ONE, OTHER)
    keeper.close()
    assert keeper.trouble == ""
    assert read_recent(path) == (third, ONE, OTHER)


def test_the_keeper_says_what_is_spoilt(tmp_path: Path) -> None:
    """Whether it reads or writes first."""
    path = tmp_path / "recent.json"
    for first in ("read", "write"):
        path.write_text("spoilt")
        keeper = RecentKeeper(path)
        if first == "read":
            assert keeper.files == ()
        else:
            keeper.add(ONE)
            keeper.close()
        assert "the list of recent files cannot be read" in keeper.trouble


def test_what_cannot_be_written_is_said_and_tried_again(tmp_path: Path) -> None:
    """With the next file that is opened; until then it is remembered."""
    folder = tmp_path / "data"
    folder.write_text("no folder")
    keeper = RecentKeeper(folder / "recent.json")
    keeper.add(ONE)
    keeper.close()
    assert "cannot be kept" in keeper.trouble
    assert keeper.files == (ONE,)
    folder.unlink()
    keeper.add(OTHER)
    keeper.close()
    assert keeper.trouble == ""
    assert set(json.loads((folder / "recent.json").read_text())) == {ONE.path, OTHER.path}


def test_without_a_home_files_are_remembered_until_the_end() -> None:
    """And nothing is written."""
    keeper = RecentKeeper(None)
    keeper.add(ONE)
    keeper.close()
    assert (keeper.files, keeper.trouble) == ((ONE,), "")


def test_a_file_stands_once() -> None:
    """Where it was opened last."""
    again = RecentFile(ONE.path, "One, in a new setting")
    assert merged((again,), (OTHER, ONE)) == (again, OTHER)
