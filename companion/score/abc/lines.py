"""Sorts the lines of a file: its header, the lines of each tune, and text that belongs to neither."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from companion.score.abc.problems import Problems

_COMMENT = re.compile(r"(?<!\\)%")
_FIELD = re.compile(r"\s*([A-Za-z+]):(.*)", re.DOTALL)
_VERSION = re.compile(r"%abc-(\d{1,3})(?:\.(\d{1,3}))?")
_TEXT_BLOCK = re.compile(r"%%\s*begin(\w+)")
# A line of music may begin with a note and a bar line (`c:|`), which looks like a field.
_MUSIC_LIKE_FIELD = re.compile(r"\s*[A-Ga-gxz]:[|:]")
_MUSIC_LIKE = re.compile(r"[A-Ga-g][^|]*\|")
_STRICT_FROM = (2, 1)


@dataclass(frozen=True, slots=True)
class Line:
    """A line without its comment. `key` is a field's letter, "+" for a field's continuation, "" for music or text.

    `text` is what follows the field's colon, and begins at `column`.
    """

    number: int
    column: int
    key: str
    text: str


@dataclass(slots=True)
class SortedLines:
    """Lines of the file header and of each tune, in order."""

    header: list[Line] = field(default_factory=list)
    tunes: list[list[Line]] = field(default_factory=list)


def wants_strict(first_line: str) -> bool:
    """Whether a file's first line asks for the strict reading: %abc-2.1 or later (ABC 2.1 section 12)."""
    match = _VERSION.match(first_line)
    return match is not None and (int(match[1]), int(match[2] or 0)) >= _STRICT_FROM


def sort_lines(texts: Iterable[str], problems: Problems) -> SortedLines:
    """Sort the lines of a file: X: begins a tune, an empty line ends it, what comes first is the file header."""
    found = SortedLines()
    for rank, block in enumerate(_blocks(texts)):
        for piece in _split_at_tunes(block):
            if piece[0].key == "X":
                found.tunes.append(piece)
            elif any(line.key == "K" for line in piece):
                place = problems.place(piece[0].number, 1)
                problems.deviation(place, "this tune has no number", "write X:1 on a line before it")
                found.tunes.append(piece)
            elif rank == 0:
                found.header = [line for line in piece if line.key]
            elif found.tunes:
                _warn_of_lost_music(piece, problems)
    return found


def _blocks(texts: Iterable[str]) -> Iterator[list[Line]]:
    """Runs of lines without an empty line between them."""
    block: list[Line] = []
    for number, text in _outside_text_blocks(texts):
        if text and not text.isspace():
            line = _read_line(number, text)
            if line:
                block.append(line)
        elif block:
            yield block
            block = []
    if block:
        yield block


def _outside_text_blocks(texts: Iterable[str]) -> Iterator[tuple[int, str]]:
    """Numbered lines, without those between a %%begintext or its like and its end."""
    ending = ""
    for number, text in enumerate(texts, start=1):
        if ending:
            if text.replace(" ", "").startswith(ending):
                ending = ""
        elif text.startswith("%%") and (match := _TEXT_BLOCK.match(text)):
            ending = f"%%end{match[1]}"
        else:
            yield number, text


def _read_line(number: int, text: str) -> Line | None:
    """Classify one line; None for a comment, which is no line at all (ABC 2.1 section 2.2.5)."""
    comment = _COMMENT.search(text) if "%" in text else None
    if comment:
        text = text[: comment.start()]
        if not text.strip():
            return None
    match = _FIELD.match(text) if ":" in text else None
    if match is None or _MUSIC_LIKE_FIELD.match(text):
        return Line(number, 1, "", text)
    return Line(number, match.start(2) + 1, match[1], match[2])


def _split_at_tunes(block: list[Line]) -> Iterator[list[Line]]:
    """A block cut before each X:."""
    starts = [i for i, line in enumerate(block) if line.key == "X" or i == 0]
    for first, stop in zip(starts, [*starts[1:], len(block)], strict=True):
        yield block[first:stop]


def _warn_of_lost_music(piece: list[Line], problems: Problems) -> None:
    line = next((line for line in piece if not line.key and _MUSIC_LIKE.match(line.text.strip())), None)
    if line is not None:
        what = "this looks like music, but an empty line ended the tune before it, so it is left out"
        problems.warn(problems.place(line.number, 1), what, "take the empty line out or write X: before it")
