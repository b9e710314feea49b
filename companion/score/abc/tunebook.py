"""Reads ABC files and texts."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from companion.score.abc.glyphs import GlyphBooks
from companion.score.abc.lines import sort_lines, wants_strict
from companion.score.abc.problems import Problems, Strictness
from companion.score.abc.source import decode, read_bytes, split_lines
from companion.score.abc.tune import TuneReader
from companion.score.model import Tune, Tunebook
from fingering.errors import UserError


def read_abc(path: Path, strictness: Strictness | None = None) -> Tunebook:
    """Read an ABC file in UTF-8 or Latin-1, with any line ends.

    strictness: None does as the file's first line asks. Problems within tunes are gathered in the book; what can be
    played is there. Raises UserError where the file is missing, unreadable, empty, binary or holds no tune at all.
    """
    source = str(path)
    data = read_bytes(Path(path))
    problems = Problems(source)
    book = _read(decode(data, problems), problems, strictness)
    if not book.tunes:
        _refuse(book)
    return book


def read_abc_text(text: str, source: str = "<text>", strictness: Strictness | None = None) -> Tunebook:
    """Read ABC from a string; `source` names it in problems. A text without tunes gives an empty book. Never raises."""
    return _read(text, Problems(source), strictness)


def _refuse(book: Tunebook) -> None:
    for problem in book.problems:
        raise problem.as_error()
    raise UserError("this is not ABC: no line begins a tune", "write X:1, T: and K: lines", f"{book.source}:1:1")


@contextmanager
def _collector_paused() -> Iterator[None]:
    """Reading makes many small objects and no cycles: the collector would walk over all of them again and again."""
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            _call_all_old()
            gc.enable()


def _call_all_old() -> None:
    """Count what was made as old, or the collector would walk over all of it as soon as it is enabled."""
    if not gc.get_freeze_count():
        gc.freeze()
        gc.unfreeze()


@_collector_paused()
def _read(text: str, problems: Problems, strictness: Strictness | None) -> Tunebook:
    lines = split_lines(text)
    asked = Strictness.STRICT if wants_strict(lines[0]) else Strictness.LOOSE
    problems.strictness = strictness or asked
    found = sort_lines(lines, problems)
    books = GlyphBooks()
    tunes: list[Tune] = []
    for tune_lines in found.tunes:
        problems.next_tune()
        tune = TuneReader(tune_lines, found.header, books, problems).read()
        if tune is not None:
            tunes.append(tune)
    return Tunebook(problems.source, tuple(tunes), problems.in_order())
