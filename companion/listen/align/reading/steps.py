"""How each heard note is read, once that is settled."""

from __future__ import annotations

import enum
from typing import NamedTuple

from companion.listen.model.segments import Segment


class Reading(enum.Enum):
    """How one heard note is read: in its own place, going on after an interruption, or as an extra one."""

    MATCH = "match"
    RESUME = "resume"
    EXTRA = "extra"


class ReadStep(NamedTuple):
    """One heard note as it is read.

    tokens: those it stands for, several where a held note ran on over what should have parted it; empty for an extra
    note. after: the token heard last before it, -1 before the first. ran_on: tokens that the note before it turned out
    to stand for as well.
    """

    segment: Segment
    reading: Reading
    tokens: tuple[int, ...]
    after: int
    cost: float
    ran_on: tuple[int, ...] = ()
