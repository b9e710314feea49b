"""Reads the header of a tune, with the defaults of its file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.files.lines import quoted
from companion.score.abc.header.fields import KNOWN_FIELDS
from companion.score.abc.header.settings import SETTING_FIELDS, Settings
from companion.score.abc.text.lines import TextLine
from companion.score.abc.text.strings import plain_text
from companion.score.abc.text.words import looks_like_music
from companion.score.form.heading import TuneHeading
from companion.score.form.problems import Problems
from companion.score.model import Field
from companion.score.problems import ProblemKind

_TUNE_ONLY = frozenset("XTKP")
_JOINED = frozenset(("", "+"))
_NOT_KEPT = frozenset(SETTING_FIELDS) - frozenset("UQIm")


@dataclass(frozen=True, slots=True)
class FileHeader:
    """The header of a file, which holds for all its tunes: its lines, and each of them as a field."""

    lines: tuple[TextLine, ...]
    fields: tuple[Field, ...]

    @classmethod
    def of(cls, lines: Sequence[TextLine], problems: Problems) -> FileHeader:
        """The file header made of those lines that may hold for a tune."""
        kept = tuple(line for line in lines if line.key not in _TUNE_ONLY)
        return cls(kept, tuple(_field(line, problems) for line in kept))


def split_header(lines: Sequence[TextLine], problems: Problems) -> tuple[Sequence[TextLine], Sequence[TextLine]]:
    """The header lines of a tune, up to its K: field or its first line of music, and the lines of its body."""
    music = len(lines)
    for i, line in enumerate(lines):
        if line.key == "K":
            stop = i + 1
            while stop < len(lines) and lines[stop].key == "+":
                stop += 1
            return lines[:stop], lines[stop:]
        if not line.key and looks_like_music((line.text,)):
            music = i
            break
    place = problems.place(lines[0].number, 1)
    what = "the tune has no key, so the pipe scale is taken"
    problems.add(ProblemKind.NO_KEY, place, what, "write K:HP as the last line of its header")
    return lines[:music], lines[music:]


def read_header(
    lines: Sequence[TextLine], file_header: FileHeader, begins: int, settings: Settings, problems: Problems
) -> TuneHeading:
    """Read a tune's header; fields of the file header are its defaults (ABC 2.1 section 2.2.3).

    begins: the number of the tune's first line.
    """
    header = TuneHeading(problems.place(begins, 1))
    own = _joined(lines, problems)
    keys = {line.key for line in own}
    inherited = [i for i, line in enumerate(file_header.lines) if line.key not in keys or line.key in "UmI"]
    told = [*(file_header.lines[i] for i in inherited), *own]
    for i in inherited:
        _take(file_header.lines[i], file_header.fields[i], header, problems)
    for line in own:
        if line.key not in _NOT_KEPT:
            _take(line, _field(line, problems), header, problems)
    setting = {line.key for line in told}.intersection(SETTING_FIELDS)
    for key in SETTING_FIELDS:
        if key == "Q":
            settings.derive_unit()
        for line in told if key in setting else ():
            if line.key == key:
                settings.apply(key, line.text, problems.place(line.number, line.column))
    _check_order(own, header, problems)
    return header


def _joined(lines: Sequence[TextLine], problems: Problems) -> Sequence[TextLine]:
    """The fields, each with its ``+:`` continuations (section 3.3); after H: also with lines that have no letter."""
    if _JOINED.isdisjoint([line.key for line in lines]):
        return lines
    joined: list[TextLine] = []
    pieces: list[str] = []
    for line in lines:
        if joined and (line.key == "+" or (not line.key and joined[-1].key == "H")):
            pieces.append(line.text.strip())
            continue
        _join(joined, pieces)
        if line.key:
            joined.append(line)
        elif problems.first_time("stray header line"):
            what = "this line is neither a field nor, before the key, music"
            remedy = "begin it with a field's letter and a colon, or %"
            problems.add(ProblemKind.STRAY_HEADER_LINE, problems.place(line.number, 1), what, remedy)
    _join(joined, pieces)
    return joined


def _join(joined: list[TextLine], pieces: list[str]) -> None:
    """Add the pieces to the last field, all at once: a thousand lines must not be copied a thousand times."""
    if pieces:
        last = joined[-1]
        joined[-1] = last._replace(text=" ".join((last.text.rstrip(), *pieces)))
        pieces.clear()


def _field(line: TextLine, problems: Problems) -> Field:
    return Field(line.key, plain_text(line.text.strip()), problems.place(line.number, line.column))


def _take(line: TextLine, field: Field, header: TuneHeading, problems: Problems) -> None:
    if line.key not in KNOWN_FIELDS:
        report_unknown(line, problems)
    if line.key == "X":
        header.reference = field.text
    elif line.key == "T" and not header.title:
        header.title = field.text
    elif line.key == "C" and not header.composer:
        header.composer = field.text
    elif line.key == "R":
        header.rhythm = field.text
    elif line.key == "P":
        header.plan, header.plan_place = field.text, field.place
    elif line.key not in _NOT_KEPT:
        header.fields.append(field)


def report_unknown(line: TextLine, problems: Problems) -> None:
    """Report a field that ABC does not know; it is passed over."""
    place = problems.place(line.number, max(1, line.column - 2))
    what = f"there is no field '{line.key}:', so it is passed over"
    problems.add(ProblemKind.UNKNOWN_FIELD, place, what, "take the line out, or write N: for a remark")


def _check_order(lines: Sequence[TextLine], header: TuneHeading, problems: Problems) -> None:
    """Report fields out of order: X: comes first, T: second, K: last (ABC 2.1 section 3); the rest is free."""
    keys = [line.key for line in lines]
    place = header.place
    if not header.title:
        what = "the tune has no title"
        problems.add(ProblemKind.NO_TITLE, place, what, "write T: and the title on the line after X:")
    elif keys[:1] == ["X"] and keys[1:2] != ["T"]:
        what = "the title is not the second line of the header"
        problems.add(ProblemKind.FIELD_ORDER, place, what, "write T: right after X:")
    if keys[:1] == ["X"] and not header.reference.isdigit():
        what = f"{quoted(header.reference)} is no tune number"
        problems.add(ProblemKind.NO_NUMBER, place, what, "write X:1 or such")
