"""A tune's header: fields that set the reading, fields that are interpreted, fields that are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from companion.files.lines import quoted
from companion.score.abc.fields import KNOWN_FIELDS
from companion.score.abc.lines import Line
from companion.score.abc.problems import Problems
from companion.score.abc.settings import SETTING_FIELDS, Settings
from companion.score.abc.text import plain_text
from companion.score.model import Field
from companion.score.place import Place

_TUNE_ONLY = frozenset("XTKP")


@dataclass(slots=True)
class Header:
    """What a header says. `plan` is the text of its P: field and where it stands."""

    place: Place
    reference: str = ""
    title: str = ""
    composer: str = ""
    rhythm: str = ""
    plan: str = ""
    plan_place: Place | None = None
    fields: list[Field] = field(default_factory=list)


def split_header(lines: Sequence[Line], problems: Problems) -> tuple[Sequence[Line], Sequence[Line]]:
    """A tune's header lines, up to its K: field, and the lines of its body."""
    for i, line in enumerate(lines):
        if line.key == "K":
            stop = i + 1
            while stop < len(lines) and lines[stop].key == "+":
                stop += 1
            return lines[:stop], lines[stop:]
    place = problems.place(lines[0].number, 1)
    problems.error(place, "the tune has no key", "write K:HP as the last line of its header")
    stop = next((i for i, line in enumerate(lines) if not line.key and "|" in line.text), len(lines))
    return lines[:stop], lines[stop:]


def read_header(lines: Sequence[Line], file_header: Sequence[Line], settings: Settings, problems: Problems) -> Header:
    """Read a tune's header; fields of the file header are its defaults (ABC 2.1 section 2.2.3)."""
    header = Header(problems.place(lines[0].number, 1))
    own = _joined(lines, problems)
    keys = {line.key for line in own}
    inherited = [
        line for line in file_header if line.key not in _TUNE_ONLY and (line.key not in keys or line.key == "U")
    ]
    told = [*inherited, *own]
    for line in told:
        _take(line, header, problems)
    for key in SETTING_FIELDS:
        if key == "Q":
            settings.derive_unit()
        for line in told:
            if line.key == key:
                settings.apply(key, line.text, problems.place(line.number, line.column))
    _check_order(own, header, problems)
    return header


def _joined(lines: Sequence[Line], problems: Problems) -> list[Line]:
    """Fields with their ``+:`` continuations joined by a blank (section 3.3); a line after H: without a key goes on."""
    joined: list[Line] = []
    for line in lines:
        if joined and (line.key == "+" or (not line.key and joined[-1].key == "H")):
            last = joined[-1]
            joined[-1] = Line(last.number, last.column, last.key, f"{last.text.rstrip()} {line.text.strip()}")
        elif not line.key:
            what = "this line is neither a field nor, before the key, music"
            problems.error(problems.place(line.number, 1), what, "begin it with a field's letter and a colon, or %")
        else:
            joined.append(line)
    return joined


def _take(line: Line, header: Header, problems: Problems) -> None:
    text = plain_text(line.text.strip())
    place = problems.place(line.number, line.column)
    if line.key not in KNOWN_FIELDS:
        report_unknown(line, problems)
    elif line.key == "m":
        problems.warn(place, "macros are not played", "write out what the macro stands for")
    if line.key == "X":
        header.reference = text
    elif line.key == "T" and not header.title:
        header.title = text
    elif line.key == "C" and not header.composer:
        header.composer = text
    elif line.key == "R":
        header.rhythm = text
    elif line.key == "P":
        header.plan, header.plan_place = text, place
    elif line.key not in SETTING_FIELDS or line.key in "UQ":
        header.fields.append(Field(line.key, text, place))


def report_unknown(line: Line, problems: Problems) -> None:
    """A field that ABC does not know is passed over, and said."""
    place = problems.place(line.number, max(1, line.column - 2))
    problems.error(place, f"there is no field '{line.key}:'", "take the line out, or write N: for a remark")


def _check_order(lines: Sequence[Line], header: Header, problems: Problems) -> None:
    """X: first, T: second, K: last (ABC 2.1 section 3); the rest is free."""
    keys = [line.key for line in lines]
    place = header.place
    if not header.title:
        problems.deviation(place, "the tune has no title", "write T: and the title on the line after X:")
    elif keys[:1] == ["X"] and keys[1:2] != ["T"]:
        problems.deviation(place, "the title is not the second line of the header", "write T: right after X:")
    if keys[:1] == ["X"] and not header.reference.isdigit():
        problems.deviation(place, f"{quoted(header.reference)} is no tune number", "write X:1 or such")
