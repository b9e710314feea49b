"""Every mistake is one line with its place and a remedy, and exit status 2; what can be played is still offered."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.__main__ import main
from companion.commands.shared.tune_list import tune_list_for

HEAD = "X:1\nT:Test\nM:4/4\nL:1/8\nK:HP\n"
GOOD = "{g}A2B2c2d2|"

FAULTY = {
    "empty": (b"", "1:1: the file is empty"),
    "binary": (bytes(range(256)), "binary"),
    "not ABC": (b"hello there\n", "1:1: this is not ABC"),
    "a note no chanter has": ((HEAD + "{g}A2B2c2C2|").encode(), "6:10: no chanter has the note 'C'"),
    "an unclosed brace": ((HEAD + "{gA2B2c2d2|").encode(), "6:1: a brace of gracenotes is not closed"),
    "a note length of nothing": ((HEAD + "A0B2c2d2|").encode(), "6:1: '0' is no note length"),
    "a plan with a part that is not there": (
        (HEAD.replace("K:", "P:AZ\nK:") + "P:A\n" + GOOD).encode(),
        "5:3: the plan names part Z",
    ),
    "a plan of millions of bars": (
        (HEAD.replace("K:", "P:(((((((A9)9)9)9)9)9)9\nK:") + "P:A\n" + GOOD).encode(),
        "5:3: the plan asks for more than",
    ),
}
PLAYABLE = [name for name in FAULTY if name not in ("empty", "binary", "not ABC")]


@pytest.fixture
def file(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """A file with one fault."""
    path = tmp_path / "faulty.abc"
    path.write_bytes(FAULTY[request.param][0])
    return path


@pytest.mark.parametrize("file", FAULTY, indirect=True)
@pytest.mark.parametrize("command", ["read", "holes", "sound", "picture"])
def test_a_faulty_file_is_told_in_one_line(
    file: Path, command: str, tmp_path: Path, request: pytest.FixtureRequest, capsys: pytest.CaptureFixture[str]
) -> None:
    """The place, what is wrong, what to do; status 2 whichever command meets it."""
    fault = FAULTY[request.node.callspec.params["file"]][1]
    output = {"sound": ["-o", str(tmp_path / "x.wav")], "picture": ["-o", str(tmp_path / "x.png")]}.get(command, [])
    assert main([command, str(file), *output]) == 2
    lines = [line for line in capsys.readouterr().err.splitlines() if fault in line]
    assert len(lines) == 1
    assert str(file) in lines[0]
    assert ";" in lines[0].partition(fault)[2]


@pytest.mark.parametrize("file", PLAYABLE, indirect=True)
def test_what_can_be_played_is_still_offered_in_the_window(file: Path) -> None:
    """The faulty file's tune opens, with one line that says what is wrong with it."""
    tune_list = tune_list_for(str(file), None)
    assert tune_list.first.title == "Test"
    assert any(note.note is not None for note in tune_list.first.notes)
    assert str(file) in tune_list.notice


def test_a_missing_file_names_what_there_is(capsys: pytest.CaptureFixture[str]) -> None:
    """One line, with the tunes that come with the program."""
    assert main(["holes", "nowhere.abc"]) == 2
    words = capsys.readouterr().err
    assert words.startswith("eightholes: nowhere.abc: there is no file")
    assert len(words.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["dance"], "there is no command 'dance'"),
        (["show", "--embellishment", "taorluath", "--onto", "z"], "the chanter has no note 'z'"),
        (["show", "--embellishment", "curl"], "curl"),
        (["show", "drills", "--embellishment", "grip"], "do not go together"),
        (["picture", "drills", "--at", "9999", "-o", "x.png"], "no bar 9999 is played"),
        (["picture", "drills", "--at", "1.99", "-o", "x.png"], "bar 1 has no note 99"),
        (["picture", "drills", "-o", "x.txt"], "is not a PNG file"),
        (["picture", "drills", "--at", "x", "-o", "x.png"], "'x' is no place in a tune"),
        (["picture", "drills", "--size", "9x9", "-o", "x.png"], "'9x9' is no size"),
        (["sound", "drills"], "-o"),
        (["holes", "drills", "--quickly"], "--quickly"),
        (["holes", "drills", "--slow", "40"], "a slow-down of 40 is out of reach"),
        (["holes", "drills", "--tempo", "5000"], "5000 beats a minute is out of reach"),
        (["sound", "drills", "--low-a", "100", "-o", "x.wav"], "a low A of 100 Hz is out of reach"),
    ],
)
def test_a_wrong_word_is_told_in_one_line(words: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What was asked, and what can be asked for instead."""
    assert main(words) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert told in lines[0]
    assert ";" in lines[0]


def test_crlf_and_latin_1_are_read(tmp_path: Path) -> None:
    """Line ends and letters of other systems are no mistakes."""
    path = tmp_path / "old.abc"
    path.write_bytes((HEAD.replace("Test", "Caf\xe9") + GOOD).replace("\n", "\r\n").encode("latin-1"))
    assert tune_list_for(str(path), None).first.title == "Caf\xe9"
    assert main(["read", str(path)]) == 0
