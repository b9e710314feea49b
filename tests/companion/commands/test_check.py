"""`eightholes check`: every problem of every file, for people and for programs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from companion.__main__ import main

GOOD = "X:1\nT:Good\nM:2/4\nL:1/8\nK:HP\n" + 8 * "{g}A2{d}B2|" + "\n"
BAD = "X:1\nT:Bad\nM:2/4\nL:1/8\nK:HP\n{g}A2{gB2|" + 7 * "{g}A2{d}B2|" + "\n"
WARNED = "X:1\nT:Warned\nM:2/4\nL:1/8\nJ:x\nK:HP\n" + 8 * "{g}A2{d}B2|" + "\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of three tunes, one of them in a folder below, and a file that is no tune."""
    (tmp_path / "good.abc").write_text(GOOD)
    (tmp_path / "below").mkdir()
    (tmp_path / "below" / "bad.ABC").write_text(BAD)
    (tmp_path / "warned.abc").write_text(WARNED)
    (tmp_path / "notes.txt").write_text("not looked at")
    return tmp_path


def test_each_problem_is_a_line_with_its_name(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Place, severity, name, what and remedy; then what they come to."""
    assert main(["check", str(folder)]) == 1
    assert capsys.readouterr().out.splitlines() == [
        f"{folder}/below/bad.ABC:6:6: error brace-not-closed: a brace of gracenotes is not closed; "
        "write '}' after the last gracenote",
        f"{folder}/warned.abc:5:1: warning unknown-field: there is no field 'J:', so it is passed over; "
        "take the line out, or write N: for a remark",
        "3 files with 3 tunes: 1 error in 1 file, 1 warning",
        "       1  brace-not-closed: A brace of gracenotes is not closed.",
        "       1  unknown-field: A field has a letter that the standard does not know.",
    ]


def test_json_is_a_list_with_a_row_a_problem(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The names of its fields stay as they are."""
    assert main(["check", "--json", str(folder)]) == 1
    rows = json.loads(capsys.readouterr().out)
    assert [row["name"] for row in rows] == ["brace-not-closed", "unknown-field"]
    assert rows[1] == {
        "file": f"{folder}/warned.abc",
        "line": 5,
        "column": 1,
        "severity": "warning",
        "name": "unknown-field",
        "what": "there is no field 'J:', so it is passed over",
        "remedy": "take the line out, or write N: for a remark",
    }


def test_warnings_alone_are_no_failure(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 0; and an empty list where there is nothing to say."""
    assert main(["check", str(folder / "warned.abc")]) == 0
    capsys.readouterr()
    assert main(["check", "--json", str(folder / "good.abc")]) == 0
    assert json.loads(capsys.readouterr().out) == []


def test_what_cannot_be_read_is_a_row_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A PDF, an empty file, a broken link and a letter get a row each and do not hide the tune beside them."""
    (tmp_path / "a.abc").write_bytes(b"%PDF-1.4")
    (tmp_path / "b.abc").write_bytes(b"")
    (tmp_path / "c.abc").symlink_to(tmp_path / "nowhere")
    (tmp_path / "d.abc").write_text("Dear piper,\n")
    (tmp_path / "e.abc").write_text(GOOD)
    assert main(["check", "--json", str(tmp_path)]) == 1
    rows = json.loads(capsys.readouterr().out)
    assert [row["name"] for row in rows] == ["not-abc", "file-unreadable", "file-unreadable", "no-tune"]


def test_files_of_all_formats_in_a_folder_are_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """XML that is no score is left aside, since such files lie everywhere."""
    for name in ("a.abc", "b.mei", "c.mxl", "d.xml"):
        assert main(["convert", "the-ropewalk-cat", str(tmp_path / name)]) == 0
    (tmp_path / "settings.xml").write_text("<settings/>")
    (tmp_path / "gone.xml").symlink_to(tmp_path / "nowhere")
    capsys.readouterr()
    assert main(["check", str(tmp_path)]) == 0
    assert capsys.readouterr().out == "4 files with 4 tunes: 0 errors in 0 files, 0 warnings\n"


def test_a_folder_without_tunes_is_a_mistake(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit status 2 and one line."""
    assert main(["check", str(tmp_path)]) == 2
    assert "there is no file of tunes in this folder" in capsys.readouterr().err


def test_a_tune_of_ours_is_found_by_its_name(capsys: pytest.CaptureFixture[str]) -> None:
    """A bundled tune is checked by its bare name, without a finding."""
    assert main(["check", "the-ropewalk-cat"]) == 0
    assert capsys.readouterr().out == "1 file with 1 tune: 0 errors in 0 files, 0 warnings\n"


def test_piping_is_checked_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What cannot be played from there, what is spelled oddly, a repeat without an end, a part of an odd length."""
    path = tmp_path / "a.abc"
    path.write_text("X:1\nT:t\nM:2/4\nL:1/8\nK:HP\n|:a2{g}c2|A2{gce}c2|A4|{g}B4||\n")
    assert main(["check", "--json", str(path)]) == 0
    names = [row["name"] for row in json.loads(capsys.readouterr().out)]
    assert names == ["repeat-not-closed", "gracenote-out-of-reach", "odd-embellishment"]
