"""Where something stands in a file, and problems found there."""

from __future__ import annotations

import enum
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

from fingering.errors import UserError


class Place(NamedTuple):
    """A place in a source text: the file's name (or "<text>"), line and column, both counted from 1.

    Places sort as they follow each other. A named tuple, since every note and gracenote has one: it is made in half the
    time that a frozen dataclass takes.
    """

    source: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.source}:{self.line}:{self.column}"


# The same from a tuple of its three parts, in less time than by name: a reader makes one for every note.
place_of = partial(tuple.__new__, Place)


class Severity(enum.Enum):
    """ERROR: what was written cannot be played as it stands. WARNING: it can, but the writer should know."""

    ERROR = "error"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a score; `str()` is the one line that people read."""

    place: Place
    what: str
    remedy: str
    severity: Severity = Severity.ERROR

    def __str__(self) -> str:
        return f"{self.place}: {self.what}; {self.remedy}"

    def as_error(self) -> UserError:
        """The same as an exception to raise."""
        return UserError(self.what, self.remedy, str(self.place))
