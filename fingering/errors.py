"""`UserError`, the exception for every mistake that a user can make and put right."""

from __future__ import annotations


class UserError(Exception):
    """Something a user can put right.

    what: what is wrong, naming what was got. remedy: what to do, in the imperative. where: the place, if there is one
    (``file:line:column`` for files). ``str(error)`` is the one line that people read.
    """

    def __init__(self, what: str, remedy: str, where: str | None = None) -> None:
        super().__init__(what, remedy, where)
        self.what = what
        self.remedy = remedy
        self.where = where

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        return f"{place}{self.what}; {self.remedy}"
