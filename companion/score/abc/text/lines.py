"""Sorts the lines of a file into its header, the lines of each tune, and text that belongs to neither."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import NamedTuple

from companion.score.abc.text.words import looks_like_music
from companion.score.form.problems import Problems
from companion.score.problems import ProblemKind

# Letters that are no notes may have a blank before their colon; `A :|` is music.
# A line of music may begin with a note and a bar line (`c:|`), which looks like a field.
_FIELD = re.compile(r"\s*(?![A-Ga-gxz]:[|:\]])(?:([A-Za-z+]):|([H-Zh-w])[ \t]+:(?![|:\]]))(.*)", re.DOTALL)
_COMMENT = re.compile(r"(?<!\\)%")
_KEY_AND_MUSIC = re.compile(r"(\s*\S+\s)(.*)", re.DOTALL)
_TEXT_BLOCK = re.compile(r"%%\s*begin(\w+)")
# Directives that change what is played, obeyed as I: fields are (ABC 2.1 section 11).
_OBEYED_DIRECTIVE = re.compile(r"%%\s*((?:MIDI\s+transpose|linebreak)\b.*)", re.DOTALL)


class TextLine(NamedTuple):
    """A line without its comment. `key` is a field's letter, "+" for a field's continuation, "" for music or text.

    `text` is what follows the field's colon, and begins at `column`.
    """

    number: int
    column: int
    key: str
    text: str


# The same from a tuple of its parts, in less time than by name.
_line_of = partial(tuple.__new__, TextLine)


@dataclass(slots=True)
class SortedLines:
    """The lines of the file header, and those of each tune, in order."""

    header: list[TextLine] = field(default_factory=list)
    tunes: list[list[TextLine]] = field(default_factory=list)


def sort_lines(texts: Sequence[str], problems: Problems, most_tunes: int) -> SortedLines:
    """Sort the lines of a file: X: begins a tune, an empty line ends it, what comes first is the file header.

    People leave empty lines within tunes as well. Where what follows one is plainly the rest of the tune, it is taken
    as that, with a warning, though ABC 2.1 section 2.2 would end the tune: no music is dropped without a word. Sorting
    stops after `most_tunes` tunes.
    """
    found = SortedLines()
    for rank, block in enumerate(_blocks(texts, problems)):
        if len(found.tunes) > most_tunes:
            break
        for piece in _split_at_tunes(block):
            _sort(piece, found, problems, first=rank == 0)
    return found


def _sort(piece: list[TextLine], found: SortedLines, problems: Problems, *, first: bool) -> None:
    if piece[0].key == "X":
        found.tunes.append(piece)
        return
    has_key = any(line.key == "K" for line in piece)
    if found.tunes and _goes_on(found.tunes[-1], piece, has_key=has_key):
        what = "an empty line stands within this tune, which goes on after it"
        problems.add(
            ProblemKind.EMPTY_LINE_IN_TUNE, problems.place(piece[0].number, 1), what, "take the empty line out"
        )
        found.tunes[-1].extend(piece)
    elif has_key or looks_like_music(line.text for line in piece if not line.key):
        place = problems.place(piece[0].number, 1)
        problems.add(ProblemKind.NO_NUMBER, place, "this tune has no number", "write X:1 on a line before it")
        found.tunes.append(piece)
    elif first:
        found.header = [line for line in piece if line.key]


def _goes_on(tune: list[TextLine], piece: list[TextLine], *, has_key: bool) -> bool:
    """Whether the lines after an empty one belong to the tune before it, to its header or its music."""
    if not any(line.key == "K" for line in tune):
        return has_key or looks_like_music(line.text for line in piece if not line.key)
    return not has_key and looks_like_music(line.text for line in piece if not line.key)


def _blocks(texts: Sequence[str], problems: Problems) -> Iterator[list[TextLine]]:
    """Runs of lines without an empty line between them."""
    block: list[TextLine] = []
    for number, text in _outside_text_blocks(texts, problems):
        if text and not text.isspace():
            line = _read_line(number, text)
            if line and line.key == "K" and "|" in line.text:
                block += _music_beside_key(line, problems)
            elif line:
                block.append(line)
        elif block:
            yield block
            block = []
    if block:
        yield block


def _outside_text_blocks(texts: Sequence[str], problems: Problems) -> Iterator[tuple[int, str]]:
    """Numbered lines without those from %%begintext (or its like) to its end; one that never ends is ignored."""
    ending = ""
    last_end: dict[str, int] = {}
    for number, text in enumerate(texts, start=1):
        if ending:
            if text.replace(" ", "").startswith(ending):
                ending = ""
        elif text.startswith("%%") and (match := _TEXT_BLOCK.match(text)):
            ending = f"%%end{match[1]}"
            if ending not in last_end:
                ends = (i for i in range(len(texts), 0, -1) if texts[i - 1].replace(" ", "").startswith(ending))
                last_end[ending] = next(ends, 0)
            if last_end[ending] <= number:
                what = f"no %%end{match[1]} follows this %%begin{match[1]}, so what comes after it is read as music"
                problems.add(ProblemKind.TEXT_NOT_CLOSED, problems.place(number, 1), what, f"write {ending} after it")
                ending = ""
        else:
            yield number, text


def _music_beside_key(line: TextLine, problems: Problems) -> tuple[TextLine, ...]:
    """A K: field and the music that stands on its line, if there is any; its columns stay those of the file."""
    match = _KEY_AND_MUSIC.fullmatch(line.text)
    if match is None or not looks_like_music((match[2],)):
        return (line,)
    column = line.column + match.start(2)
    what = "music stands on the line of the key, and is read"
    place = problems.place(line.number, column)
    problems.add(ProblemKind.MUSIC_BESIDE_KEY, place, what, "write it on a line of its own")
    return line._replace(text=match[1]), TextLine(line.number, 1, "", " " * (column - 1) + match[2])


def _read_line(number: int, text: str) -> TextLine | None:
    """Classify one line; None for a comment, which is no line at all (ABC 2.1 section 2.2.5)."""
    if "%" in text:
        directive = _OBEYED_DIRECTIVE.match(text) if text.startswith("%%") else None
        if directive:
            return TextLine(number, directive.start(1) + 1, "I", directive[1])
        comment = _COMMENT.search(text)
        if comment:
            text = text[: comment.start()]
            if not text.strip():
                return None
    match = _FIELD.match(text) if ":" in text else None
    if match is None:
        return _line_of((number, 1, "", text))
    return _line_of((number, match.start(3) + 1, match[1] or match[2], match[3]))


def _split_at_tunes(block: list[TextLine]) -> Iterator[list[TextLine]]:
    """Yield the lines of a block, cut before each X:."""
    starts = [i for i, line in enumerate(block) if line.key == "X" or i == 0]
    for first, stop in zip(starts, [*starts[1:], len(block)], strict=True):
        yield block[first:stop]
