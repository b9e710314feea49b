"""Files: encodings, line ends, and what is no ABC file at all."""

from __future__ import annotations

import codecs
from pathlib import Path

import pytest

from companion.score.abc import read_abc
from companion.score.problems import Severity
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
        codecs.BOM_UTF16_LE + TUNE.encode("utf-16-le"),
        codecs.BOM_UTF16_BE + TUNE.encode("utf-16-be"),
        TUNE.encode() + b"\x1a",
    ],
    ids=["UTF-8", "byte order mark", "CRLF", "CR", "declared Latin-1", "UTF-16 LE", "UTF-16 BE", "Ctrl-Z"],
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
            b"Dear piper,\n\nhow are you?\n",
            "{}:1:1: this is not ABC: no line begins a tune; write X:1, T: and K: lines",
        ),
        (b"X:1\nT:t\nK:HP\n", "{}:1:1: the tune holds no music; write its notes after the K: field"),
    ],
    ids=["empty", "blank", "binary", "a letter", "no music"],
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
    with pytest.raises(UserError, match="this is a folder; name a file in it"):
        read_abc(tmp_path)


def test_the_quotation_marks_of_office_programs(tmp_path: Path) -> None:
    """Bytes 147 and 148 are curled marks in Windows-1252, and stand for plain ones in music."""
    data = b"X:1\nT:\x93Up\x94\nL:1/8\nK:HP\n\x93^slow\x94A B|\n"
    tune = read_abc(written(tmp_path, data)).tunes[0]
    assert tune.title == "\u201cUp\u201d"
    assert tune.notes[0].annotations == ("^slow",)


FOREIGN = {
    "a MIDI file": b"MThd\0\0\0\x06\0\0\0\x01",
    "a PDF file": b"%PDF-1.4\n",
    "a picture (PNG)": b"\x89PNG\r\n\x1a\n",
    "a picture (JPEG)": b"\xff\xd8\xff\xe0",
    "a packed file (ZIP: compressed MusicXML, a document or an archive)": b"PK\x03\x04",
    "a sound recording (WAV)": b"RIFF\x24\0\0\0WAVEfmt ",
    "a formatted text (RTF)": b"{\\rtf1\\ansi X:1}",
    "a MusicXML score": b'<?xml version="1.0"?>\n<!DOCTYPE score-partwise PUBLIC "x">\n<score-partwise>',
    "an MEI score": b'<?xml version="1.0"?>\n<mei xmlns="x">',
    "a web page": b"<!DOCTYPE html>\n<html><body>X</body></html>",
    "a LilyPond file": b'\\version "2.24.0"\n\\relative { c }',
}


@pytest.mark.parametrize("name", FOREIGN)
def test_what_is_no_abc_is_called_by_its_name(name: str, tmp_path: Path) -> None:
    """By its first bytes, whatever the file is called; and what to do is said."""
    with pytest.raises(UserError) as caught:
        read_abc(written(tmp_path, FOREIGN[name]))
    assert caught.value.what == f"this is {name}, not ABC text"
    assert caught.value.remedy


def test_a_tune_may_quote_a_web_page(tmp_path: Path) -> None:
    """A line X:1 makes it a tune."""
    assert read_abc(written(tmp_path, b"X:1\nT:The <html> Reel\nK:HP\nA|\n")).tunes
