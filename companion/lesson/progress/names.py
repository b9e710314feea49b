"""The names of learners."""

from __future__ import annotations

from companion.files.lines import quoted
from fingering.errors import UserError

DEFAULT_LEARNER = ""
"""The name of a learner who never said one."""

LONGEST_NAME = 80


def checked_name(name: str) -> str:
    """A name as it is kept, without blanks around it. Raises UserError for one that is no line of text."""
    name = name.strip()
    if len(name) > LONGEST_NAME or not name.isprintable():
        raise UserError(f"{quoted(name)} is no name", f"give one line of {LONGEST_NAME} letters at most")
    return name


def shown_name(name: str) -> str:
    """A learner's name as people read it."""
    return name or "you"
