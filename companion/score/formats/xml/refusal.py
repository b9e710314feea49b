"""Refuses files of XML, each in one line."""

from __future__ import annotations

from companion.score.place import Place
from companion.score.problems import Problem, ProblemKind, RefusedScore

SAVE_AGAIN = "save it again in the program that made it"


def refused(
    source: str, kind: ProblemKind, what: str, remedy: str = SAVE_AGAIN, line: int = 1, column: int = 1
) -> RefusedScore:
    """The error to raise for a file, with what is wrong, where, and what to do."""
    return Problem(Place(source, line, column), kind, what, remedy).as_error()
