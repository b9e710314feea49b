"""`read_tunes`: from a file in any format that is read to a `Tunebook`. All of the program reads tunes by it."""

from __future__ import annotations

from pathlib import Path

from companion.files.lines import one_line
from companion.files.reading import read_beginning, read_limited
from companion.score.abc import read_abc
from companion.score.abc.tunebook import Progress, check_transposition
from companion.score.formats.kinds import BEGINNING, TuneFormat, format_of
from companion.score.model import Tunebook
from companion.score.problems import Severity
from fingering.errors import UserError

MOST_BYTES = 32_000_000
"""The largest file of XML that is read: a symphony has some 30 MB."""

_REMEDY = "save the tune alone"


def read_tunes(path: Path, *, transpose: int = 0, progress: Progress | None = None) -> Tunebook:
    """Read a file of tunes, whatever format it is in: ABC, MusicXML, compressed MusicXML or MEI.

    transpose: semitones higher than it is written. progress: told how many tunes of a book are read. Problems within
    tunes are gathered in the book; what can be played is there. Raises UserError where the file is missing, cannot be
    read, is in no such format, holds no tune, or holds what only a file made to do harm does.
    """
    path = Path(path)
    found = format_of(read_beginning(path, BEGINNING), path.name)
    if found is TuneFormat.ABC:
        return read_abc(path, transpose=transpose, progress=progress)
    check_transposition(transpose)
    return _read_xml(read_limited(path, MOST_BYTES, _REMEDY), found, one_line(str(path)), transpose)


def holds_score(path: Path) -> bool:
    """Whether a file of XML begins as a score does; False where it cannot be read."""
    try:
        return format_of(read_beginning(path, BEGINNING), "") is not TuneFormat.ABC
    except UserError:
        return False


def _read_xml(data: bytes, found: TuneFormat, source: str, transpose: int) -> Tunebook:
    """Read the bytes of a file of XML. What reads it is loaded here, since few files need it."""
    from companion.score.formats.mei.reader import read_mei_text
    from companion.score.formats.musicxml.reader import read_musicxml_text
    from companion.score.formats.xml.decoding import decode_xml
    from companion.score.formats.xml.packed import unpack_score

    if found is TuneFormat.PACKED_MUSICXML:
        data = unpack_score(data, source)
        found = format_of(data[:BEGINNING], source)
    read = read_mei_text if found is TuneFormat.MEI else read_musicxml_text
    book = read(decode_xml(data, source), source, transpose)
    if not book.tunes:
        raise next(problem for problem in book.problems if problem.severity is Severity.ERROR).as_error()
    return book
