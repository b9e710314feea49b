"""Files: encodings, line ends, and what is no ABC file at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.score.abc import Strictness, read_abc
from companion.score.place import Severity
from fingering.errors import UserError

TUNE = "X:1\nT:Café\nL:1/8\nK:HP\nAB|\n"


def written(folder: Path, data: bytes) -> Path:
    """A file with these bytes."""
    path = folder / "tune.abc"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    "data",
    [
        TUNE.encode(),
        b"\xef\xbb\xbf" + TUNE.encode(),
        TUNE.replace("\n", "\r\n").encode(),
        TUNE.replace("\n", "\r").encode(),
        ("I:abc-charset iso-8859-1\n" + TUNE).encode("latin-1"),
    ],
    ids=["UTF-8", "byte order mark", "CRLF", "CR", "declared Latin-1"],
)
def test_read_without_a_word(data: bytes, tmp_path: Path) -> None:
    """All of these are the same tune."""
    book = read_abc(written(tmp_path, data))
    assert [tune.title for tune in book.tunes] == ["Café"]
    assert len(book.tunes[0].notes) == 2
    assert book.problems == ()


def test_latin_1_is_read_with_a_warning(tmp_path: Path) -> None:
    """It names the first byte that is not UTF-8."""
    path = written(tmp_path, TUNE.encode("latin-1"))
    book = read_abc(path)
    assert book.tunes[0].title == "Café"
    assert [problem.severity for problem in book.problems] == [Severity.WARNING]
    assert str(book.problems[0]).startswith(f"{path}:2:6: this is not UTF-8")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "{}:1:1: the file is empty; write a tune into it, from X:1 on"),
        (b" \r\n\t\n", "{}:1:1: the file is empty; write a tune into it, from X:1 on"),
        (b"X:1\nT:\x00", "{}:2:3: this is a binary file, not ABC text (it holds byte 0); choose a file of ABC text"),
        (
            b"MThd\x00\x00\x00\x06",
            "{}:1:5: this is a binary file, not ABC text (it holds byte 0); choose a file of ABC text",
        ),
        (TUNE.encode("utf-16"), "{}:1:1: the file is in UTF-16; save it as UTF-8"),
        (
            b"Dear piper,\n\nhow are you?\n",
            "{}:1:1: this is not ABC: no line begins a tune; write X:1, T: and K: lines",
        ),
        (b"X:1\nT:t\nK:HP\n", "{}:1:1: the tune holds no music; write its notes after the K: field"),
    ],
    ids=["empty", "blank", "binary", "MIDI", "UTF-16", "a letter", "no music"],
)
def test_what_is_no_tune_is_refused(data: bytes, said: str, tmp_path: Path) -> None:
    """In one line."""
    path = written(tmp_path, data)
    with pytest.raises(UserError) as caught:
        read_abc(path)
    assert str(caught.value) == said.format(path)


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    """Its name is said."""
    with pytest.raises(UserError, match=r"none\.abc: there is no such file; check its name"):
        read_abc(tmp_path / "none.abc")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    """It is said what it is."""
    with pytest.raises(UserError, match="this is a folder; name an ABC file in it"):
        read_abc(tmp_path)


@pytest.mark.parametrize(
    ("strictness", "severity"),
    [(None, Severity.WARNING), (Strictness.LOOSE, Severity.WARNING), (Strictness.STRICT, Severity.ERROR)],
)
def test_the_strictness_can_be_chosen(strictness: Strictness | None, severity: Severity, tmp_path: Path) -> None:
    """Whatever the file asks."""
    book = read_abc(written(tmp_path, b"X:1\nT:t\nK:HP\nA!B|\n"), strictness)
    assert [problem.severity for problem in book.problems] == [severity]
