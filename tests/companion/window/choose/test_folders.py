"""A folder shows its folders and its files of tunes, whatever else is in it."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

import pytest

from companion.window.choose.folders import MOST_ENTRIES, first_folder, folder_above, list_folder
from companion.window.choose.rows import ChoiceRow
from fingering.errors import UserError


def names(rows: Iterable[ChoiceRow]) -> list[str]:
    """The names of rows."""
    return [row.name for row in rows]


def test_folders_and_tune_files_are_listed_in_order(tmp_path: Path) -> None:
    """Whatever the case of their names; other files and what is hidden are left out."""
    for name in ("Zeta", "alpha", ".git"):
        (tmp_path / name).mkdir()
    for name in (
        "b.abc",
        "A.ABC",
        "ö ä.abc",
        "old.abh",
        "c.mxl",
        "d.MusicXML",
        "e.xml",
        "f.mei",
        "notes.txt",
        "abc",
        ".hidden.abc",
        "g.mid",
    ):
        (tmp_path / name).write_text("")
    (tmp_path / "folder.abc").mkdir()
    listing = list_folder(str(tmp_path))
    assert names(listing.folders) == [f"{name}{os.sep}" for name in ("alpha", "folder.abc", "Zeta")]
    assert names(listing.files) == ["A.ABC", "b.abc", "c.mxl", "d.MusicXML", "e.xml", "f.mei", "old.abh", "ö ä.abc"]
    assert listing.whole


@pytest.mark.skipif(os.name == "nt", reason="links and pipes are another matter there")
def test_what_is_neither_is_left_out(tmp_path: Path) -> None:
    """Links that lead nowhere or in a circle, and pipes, which would never end."""
    (tmp_path / "nowhere.abc").symlink_to(tmp_path / "gone")
    (tmp_path / "circle.abc").symlink_to(tmp_path / "circle.abc")
    os.mkfifo(tmp_path / "pipe.abc")
    (tmp_path / "real.abc").write_text("")
    (tmp_path / "link.abc").symlink_to(tmp_path / "real.abc")
    assert names(list_folder(str(tmp_path)).files) == ["link.abc", "real.abc"]


@pytest.mark.parametrize("name", ["gone", "file", "a\0b"])
def test_a_folder_that_cannot_be_read_is_told(tmp_path: Path, name: str) -> None:
    """In one line."""
    (tmp_path / "file").write_text("")
    with pytest.raises(UserError, match="this folder cannot be read") as caught:
        list_folder(str(tmp_path / name))
    assert "\n" not in str(caught.value)


def test_a_folder_beyond_measure_is_cut(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And says so."""
    monkeypatch.setattr("companion.window.choose.folders.MOST_ENTRIES", 5)
    for number in range(6):
        (tmp_path / f"{number}.abc").write_text("")
    listing = list_folder(str(tmp_path))
    assert (len(listing.files), listing.whole) == (5, False)
    assert MOST_ENTRIES >= 2_000


def test_the_way_up_ends_at_the_top(tmp_path: Path) -> None:
    """Where there is no folder above."""
    assert folder_above(str(tmp_path / "x")) == str(tmp_path)
    assert folder_above(os.path.abspath(os.sep)) is None


def test_one_begins_where_the_last_file_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else at home."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
    assert first_folder(str(tmp_path / "one.abc")) == str(tmp_path)
    assert first_folder(str(tmp_path / "gone" / "one.abc")) == str(tmp_path / "home")
    assert first_folder(None) == str(tmp_path / "home")
