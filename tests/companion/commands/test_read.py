"""`eightholes read`: what is printed, where, and with which exit status."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from companion.__main__ import main

ABC = """X:3
T:The Ferry
R:March
M:2/4
L:1/8
Q:1/4=80
K:HP
e|:{g}A2{gcd}c2-|c4|1{e}A3e:|2{g}A4||z4|]

X:4
T:Another
M:C|
K:HP
A8|]
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A file of two tunes."""
    path = tmp_path / "tune.abc"
    path.write_text(ABC, encoding="utf-8")
    return path


def test_json_has_the_shape_that_is_promised(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Title, metre, the order of playing by bar numbers, bars as written; a tied note is one, a rest is z."""
    assert main(["read", str(file), "--json", "--tune", "3"]) == 0
    (tune,) = json.loads(capsys.readouterr().out)
    assert tune["title"] == "The Ferry"
    assert tune["meter"] == "2/4"
    assert tune["played"] == [0, 1, 2, 3, 1, 2, 4, 5]
    assert [bar["number"] for bar in tune["bars"]] == [0, 1, 2, 3, 4, 5]
    assert tune["bars"][1]["notes"] == [
        {"pitch": "A", "duration": "1/4", "gracenotes": ["g"], "embellishment": "G gracenote"},
        {"pitch": "c", "duration": "3/4", "gracenotes": ["g", "c", "d"], "embellishment": "C doubling"},
    ]
    assert tune["bars"][2]["notes"] == []
    assert tune["bars"][5]["notes"] == [
        {"pitch": "z", "duration": "1/2", "gracenotes": [], "embellishment": None},
    ]


def test_json_tells_more_after_what_is_promised(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Rhythm, tempo, parts and phrases."""
    main(["read", str(file), "--json"])
    tune = json.loads(capsys.readouterr().out)[0]
    assert list(tune)[:4] == ["title", "meter", "played", "bars"]
    assert tune["rhythm"] == "March"
    assert tune["tempo"] == {"beat": "1/4", "beats_per_minute": 80.0, "text": ""}
    assert [part["label"] for part in tune["parts"]] == ["1", "2"]
    assert tune["parts"][0]["phrases"] == [{"letter": "a", "bars": [0, 1, 2]}, {"letter": "b", "bars": [3, 4]}]


def test_embellishments_are_named_between_written_neighbours(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """After high A the gracenotes cd onto C are the half doubling, and are named so."""
    path = tmp_path / "tune.abc"
    path.write_text("X:1\nT:t\nM:none\nL:1/8\nK:HP\na {cd}c|\n", encoding="utf-8")
    main(["read", str(path), "--json"])
    assert json.loads(capsys.readouterr().out)[0]["bars"][0]["notes"][1]["embellishment"] == "half C doubling"


def test_the_listing_shows_parts_phrases_and_bars(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """For people."""
    assert main(["read", str(file)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[:4] == [
        "3. The Ferry",
        "  March, M:2/4, K:HP, 1/4 = 80",
        "  6 bars written, 8 played",
        "  Part 1: phrases a b",
    ]
    assert "         1  A 1/4 (G gracenote)  c 3/4 (C doubling)" in lines
    assert "4. Another" in lines


def test_warnings_do_not_change_the_status(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """They go to standard error, a line each."""
    assert main(["read", str(file), "--json"]) == 0
    said = capsys.readouterr().err.splitlines()
    assert f"{file}:8:38: a chanter cannot rest: the note before goes on sounding; lengthen that note instead" in said


def test_an_error_is_one_line_and_status_2_and_the_rest_is_printed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What could be read is still there."""
    path = tmp_path / "tune.abc"
    path.write_text("X:1\nT:t\nM:none\nL:1/8\nK:HP\nA D c|\n", encoding="utf-8")
    assert main(["read", str(path), "--json"]) == 2
    out, err = capsys.readouterr()
    assert [note["pitch"] for note in json.loads(out)[0]["bars"][0]["notes"]] == ["A", "z", "c"]
    assert err.splitlines()[0] == (
        f"{path}:6:3: no chanter has the note 'D' under K:HP, so it is left out; write one of G A B c d e f g a, "
        "or read it with --transpose 5: the whole tune fits 5 semitones higher"
    )


@pytest.mark.parametrize("words", [["read", "nowhere.abc"], ["read", "nowhere.abc", "--json"]])
def test_a_missing_file_is_one_line_and_status_2(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is printed on standard output."""
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("eightholes: nowhere.abc: there is no file 'nowhere.abc'; give the path of a file of tunes")
    assert len(err.splitlines()) == 1


def test_a_tune_that_is_not_there(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The error says which there are."""
    assert main(["read", str(file), "--tune", "9"]) == 2
    assert capsys.readouterr().err == f"eightholes: {file}: there is no tune 9; choose one of 3, 4\n"
