"""Where something stands in a file, and problems found there."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.errors import UserError


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a source text: the file's name (or "<text>"), line and column, both counted from 1."""

    source: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.source}:{self.line}:{self.column}"


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
