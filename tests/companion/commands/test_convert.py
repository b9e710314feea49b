"""`eightholes convert`: tunes in another format, from the command line."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from companion.__main__ import main
from companion.score.abc import read_abc
from companion.score.bundled import bundled_folder
from companion.score.formats.books import read_tunes
from tests.companion.score.formats.sameness import music

CAT = bundled_folder() / "the-ropewalk-cat.abc"
BOOK = "X:1\nT:One\nM:2/4\nL:1/8\nK:HP\nABcd|\n\nX:7\nT:Two\nM:2/4\nL:1/8\nK:HP\nefga|\n"
FAULTY = BOOK + "\nX:9\nT:Three\nM:2/4\nL:1/8\nK:HP\nA=fcd|\n"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Two tunes."""
    path = tmp_path / "book.abc"
    path.write_text(BOOK)
    return path


def refusal(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    """The line with which a conversion is refused."""
    assert main(["convert", *map(str, words)]) == 2
    return capsys.readouterr().err.strip()


@pytest.mark.parametrize("ending", ["abc", "musicxml", "xml", "mxl", "mei"])
def test_a_tune_is_written_by_the_ending_and_reads_as_it_was(
    ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ours by its name; the file's name is all that is said, since nothing is lost."""
    output = tmp_path / f"cat.{ending}"
    assert main(["convert", "the-ropewalk-cat", str(output)]) == 0
    assert music(read_tunes(output).tunes[0]) == music(read_abc(CAT).tunes[0])
    assert capsys.readouterr() == (f"{output}\n", "")


def test_from_any_format_to_any_other(tmp_path: Path) -> None:
    """Round the circle the ABC is the same again."""
    files = [CAT, *(tmp_path / f"cat.{ending}" for ending in ("mei", "mxl", "musicxml", "abc"))]
    for one, other in pairwise(files):
        assert main(["convert", str(one), str(other)]) == 0
    assert main(["convert", str(CAT), str(tmp_path / "direct.abc")]) == 0
    assert files[-1].read_text() == (tmp_path / "direct.abc").read_text()


def test_a_midi_file_is_slowed_down_where_it_is_asked_for(tmp_path: Path) -> None:
    """It begins as Standard MIDI Files do, and is longer to read than to write."""
    for words in ([], ["--slow", "2"]):
        assert main(["convert", str(CAT), str(tmp_path / f"a{len(words)}.mid"), *words]) == 0
    plain, slow = (tmp_path / "a0.mid").read_bytes(), (tmp_path / "a2.mid").read_bytes()
    assert plain.startswith(b"MThd")
    assert plain != slow


def test_other_formats_have_no_slow_down(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Which is said, rather than left aside."""
    line = refusal(capsys, CAT, tmp_path / "a.mei", "--slow", 2)
    assert line == (
        "eightholes: MEI is written, not played: it has no slow-down and no other tempo than the tune's; leave "
        "--tempo, --slow and --crisp out, or write a .mid file"
    )


def test_a_book_stays_a_book_as_abc(book: Path, tmp_path: Path) -> None:
    """All its tunes, in their order."""
    assert main(["convert", str(book), str(tmp_path / "other.abc")]) == 0
    assert [tune.title for tune in read_tunes(tmp_path / "other.abc").tunes] == ["One", "Two"]


def test_of_a_book_one_tune_is_chosen_or_each_written(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Formats that hold one piece say so; --tune takes the number of X:, --each writes numbered files."""
    line = refusal(capsys, book, tmp_path / "a.mei")
    assert line.endswith(
        "there are 2 tunes in it, and a file of MEI holds one; choose one with --tune N, or write all with --each"
    )
    assert main(["convert", str(book), str(tmp_path / "a.mei"), "--tune", "7"]) == 0
    assert read_tunes(tmp_path / "a.mei").tunes[0].title == "Two"
    assert main(["convert", str(book), str(tmp_path / "b.mxl"), "--each"]) == 0
    titles = [read_tunes(path).tunes[0].title for path in sorted(tmp_path.glob("b-*.mxl"))]
    assert titles == ["One", "Two"]


def test_what_is_there_is_written_over_only_by_force(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And never what is read, nor what comes with the program."""
    output = tmp_path / "a.mei"
    assert main(["convert", str(CAT), str(output)]) == 0
    assert "this file is there already" in refusal(capsys, CAT, output)
    assert main(["convert", str(CAT), str(output), "--force"]) == 0
    assert "is not written over" in refusal(capsys, output, output, "--force")
    assert "comes with the program" in refusal(capsys, output, CAT, "--force")


def test_no_file_of_several_is_written_where_one_is_there(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All names are looked at before the first is written."""
    (tmp_path / "b-2.mei").write_text("mine")
    assert "this file is there already" in refusal(capsys, book, tmp_path / "b.mei", "--each")
    assert not (tmp_path / "b-1.mei").exists()


def test_tunes_that_lost_notes_are_left_out_and_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The others are written, and the status says so; one alone is refused."""
    path, output = tmp_path / "faulty.abc", tmp_path / "a.abc"
    path.write_text(FAULTY)
    assert main(["convert", str(path), str(output)]) == 1
    assert [tune.title for tune in read_tunes(output).tunes] == ["One", "Two"]
    assert "no chanter has the note '=f'" in capsys.readouterr().err
    assert "no chanter has the note '=f'" in refusal(capsys, path, tmp_path / "b.mei", "--tune", 9)


def test_what_a_format_has_no_place_for_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Decorations without a sign of their own; ABC keeps them."""
    path = tmp_path / "a.abc"
    path.write_text("X:1\nT:One\nM:2/4\nL:1/8\nK:HP\n~A!slide!Bcd|\n")
    assert main(["convert", str(path), str(tmp_path / "a.mxl")]) == 0
    assert capsys.readouterr().err == ("eightholes: compressed MusicXML has no place for the decorations roll slide\n")
    assert main(["convert", str(path), str(tmp_path / "b.abc")]) == 0
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("output", "what"),
    [
        ("a.pdf", "the ending of this name stands for no format"),
        ("a", "the ending of this name stands for no format"),
        ("nowhere/a.mei", "there is no folder"),
    ],
)
def test_what_cannot_be_written_is_refused(
    output: str, what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In one line."""
    line = refusal(capsys, CAT, tmp_path / output)
    assert what in line
    assert "\n" not in line


def test_a_midi_file_holds_no_tune_to_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was played is no score."""
    assert main(["convert", str(CAT), str(tmp_path / "a.mid")]) == 0
    assert "this is a MIDI file, not ABC text" in refusal(capsys, tmp_path / "a.mid", tmp_path / "b.abc")


def test_a_tune_is_moved_while_it_is_read(tmp_path: Path) -> None:
    """--transpose works as elsewhere."""
    path = tmp_path / "a.abc"
    path.write_text("X:1\nT:Low\nM:2/4\nL:1/8\nK:D\nA,B,CD|\n")
    assert main(["convert", str(path), str(tmp_path / "b.abc"), "--transpose", "12"]) == 0
    assert [
        note.note.letter for note in read_tunes(tmp_path / "b.abc").tunes[0].notes if note.note is not None
    ] == list("ABcd")


@pytest.mark.parametrize("command", ["read", "check", "holes", "cross"])
def test_other_commands_take_each_format(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And say the same of a tune, whatever file it is in."""
    said = []
    for ending in ("abc", "mei", "mxl"):
        path = tmp_path / f"a.{ending}"
        assert main(["convert", str(CAT), str(path)]) == 0
        assert main([command, str(path)]) == 0
        said.append(capsys.readouterr().out.replace(str(path), "FILE"))
    assert said[0] == said[1] == said[2]
