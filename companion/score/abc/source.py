"""From bytes to lines of text."""

from __future__ import annotations

import re
from pathlib import Path

from companion.score.abc.problems import Problems
from fingering.errors import UserError

_LINE_END = re.compile(r"\r\n|\n|\r")
_LATIN_1_DECLARED = re.compile(rb"(?im)^(?:I:|%%)\s*abc-charset[ \t]+(?:iso-8859-1|latin-?1)\b")
_WIDE_MARKS = (b"\xff\xfe", b"\xfe\xff")
_CONTROLS = bytes(set(range(32)) - set(b"\t\n\r\f\v\x1a\x1b"))


def read_bytes(path: Path) -> bytes:
    """The bytes of an ABC file. Raises UserError where it is missing, unreadable, empty or not text."""
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise UserError("there is no such file", "check its name and folder", str(path)) from None
    except IsADirectoryError:
        raise UserError("this is a folder", "name an ABC file in it", str(path)) from None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise UserError(f"the file cannot be read ({why})", "check that you may read it", str(path)) from None
    if not data.strip():
        raise UserError("the file is empty", "write a tune into it, from X:1 on", f"{path}:1:1")
    _refuse_binary(data, str(path))
    return data


def _refuse_binary(data: bytes, source: str) -> None:
    if data.startswith(_WIDE_MARKS):
        raise UserError("the file is in UTF-16", "save it as UTF-8", f"{source}:1:1")
    at = next((i for i, byte in enumerate(data[:65536]) if byte in _CONTROLS), None)
    if at is not None:
        line, column = _position(data, at)
        what = f"this is a binary file, not ABC text (it holds byte {data[at]})"
        raise UserError(what, "choose a file of ABC text", f"{source}:{line}:{column}")


def _position(data: bytes, at: int) -> tuple[int, int]:
    """Line and column of byte `at`; bytes before it are taken as UTF-8."""
    before = _LINE_END.split(data[:at].decode("utf-8", errors="replace"))
    return len(before), len(before[-1]) + 1


def decode(data: bytes, problems: Problems) -> str:
    """Text of the file: UTF-8 with or without a byte order mark, else Latin-1, which is said unless it was declared."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if not _LATIN_1_DECLARED.search(data):
            place = problems.place(*_position(data, error.start))
            problems.warn(place, "this is not UTF-8, so the file was read as Latin-1", "save it as UTF-8")
        return data.decode("latin-1")


def split_lines(text: str) -> list[str]:
    """The lines of `text`, ended by LF, CRLF or CR (ABC 2.1 section 2.2.2), without their ends."""
    return _LINE_END.split(text.removeprefix("\ufeff"))
