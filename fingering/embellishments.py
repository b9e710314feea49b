"""Embellishments: what a group of gracenotes is called in its context, and how a named one is spelled onto a note."""

from __future__ import annotations

import enum
from collections.abc import Sequence
from dataclasses import dataclass

from fingering.notes import Note


class Family(enum.Enum):
    """The families of embellishments, by the trade's own names. UNNAMED is played and named by its letters."""

    SINGLE = "gracenote"
    DOUBLING = "doubling"
    HALF_DOUBLING = "half doubling"
    THUMB_DOUBLING = "thumb doubling"
    STRIKE = "strike"
    THROW = "throw"
    GRIP = "grip"
    TAORLUATH = "taorluath"
    CRUNLUATH = "crunluath"
    BIRL = "birl"
    UNNAMED = "unnamed"


@dataclass(frozen=True, slots=True)
class Embellishment:
    """A named group of gracenotes: its family, the name that people read ("C doubling"), its notes, its melody note."""

    family: Family
    name: str
    gracenotes: tuple[Note, ...]
    onto: Note


def recognise(
    gracenotes: Sequence[Note], *, onto: Note, before: Note | None = None, after: Note | None = None
) -> Embellishment:
    """Name a group of gracenotes between the melody note before and after. Never fails: the unknown is UNNAMED."""
    letters = "".join(note.letter for note in gracenotes)
    return Embellishment(Family.UNNAMED, letters, tuple(gracenotes), onto)
