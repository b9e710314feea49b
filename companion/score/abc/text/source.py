"""Reads the bytes of an ABC file and turns them into lines of text."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from companion.files.lines import one_line
from companion.files.reading import read_limited
from companion.score.abc.text.foreign import foreign_format
from companion.score.form.problems import Problems
from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind
from fingering.errors import UserError

MOST_BYTES = 32_000_000
"""The largest file that is read: some 30,000 tunes with all their gracenotes."""

_LINE_END = re.compile(r"\r\n|\n|\r")
_LATIN_1_DECLARED = re.compile(rb"(?im)^(?:I:|%%)\s*abc-charset[ \t]+(?:iso-8859-1|latin-?1|windows-1252|cp-?1252)\b")
_WIDE_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_CONTROLS = bytes(set(range(32)) - set(b"\t\n\r\f\v\x1a\x1b"))


def read_bytes(path: Path) -> bytes:
    """The bytes of an ABC file. Raises UserError where it is missing, unreadable, empty, too large or no text."""
    data = read_limited(path, MOST_BYTES, "split it into several books")
    source = one_line(str(path))
    if not data.strip():
        raise _refused(source, ProblemKind.FILE_UNREADABLE, "the file is empty", "write a tune into it, from X:1 on")
    foreign = foreign_format(data)
    if foreign:
        name, remedy = foreign
        raise _refused(source, ProblemKind.NOT_ABC, f"this is {name}, not ABC text", remedy)
    if not data.startswith(_WIDE_MARKS):
        _refuse_binary(data, source)
    return data


def _refused(source: str, kind: ProblemKind, what: str, remedy: str, line: int = 1, column: int = 1) -> UserError:
    return Problem(Place(source, line, column), kind, what, remedy).as_error()


def _refuse_binary(data: bytes, source: str) -> None:
    at = next((i for i, byte in enumerate(data[:65536]) if byte in _CONTROLS), None)
    if at is not None:
        what = f"this is a binary file, not ABC text (it holds byte {data[at]})"
        raise _refused(source, ProblemKind.NOT_ABC, what, "choose a file of ABC text", *_position(data, at))


def _position(data: bytes, at: int) -> tuple[int, int]:
    """Line and column of byte `at`; bytes before it are taken as UTF-8."""
    before = _LINE_END.split(data[:at].decode("utf-8", errors="replace"))
    return len(before), len(before[-1]) + 1


def decode(data: bytes, problems: Problems) -> str:
    """The text of a file: UTF-8, or UTF-16 with its mark, else Windows-1252, which is reported unless declared.

    Latin-1 is read as Windows-1252, which has all its letters and the curled quotation marks of office programs.
    """
    if data.startswith(_WIDE_MARKS):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if not _LATIN_1_DECLARED.search(data):
            place = problems.place(*_position(data, error.start))
            what = "this is not UTF-8, so the file was read as Windows-1252 (Latin-1)"
            problems.add(ProblemKind.NOT_UTF_8, place, what, "save it as UTF-8")
        # Five bytes mean nothing in Windows-1252: Latin-1 has (invisible) signs for them.
        return "".join(map(_WINDOWS_1252.__getitem__, data))


_WINDOWS_1252 = tuple(bytes([byte]).decode("cp1252", errors="ignore") or chr(byte) for byte in range(256))


def split_lines(text: str) -> list[str]:
    """The lines of `text`, ended by LF, CRLF or CR (ABC 2.1 section 2.2.2), without their ends."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
