"""What a player did: notes that began to sound and hole states that were taken, in order of time."""

from __future__ import annotations

from dataclasses import dataclass

from fingering.holes import HoleState
from fingering.notes import Note


@dataclass(frozen=True, slots=True)
class Sounded:
    """From `at_s` on this note sounds; None is silence."""

    at_s: float
    note: Note | None


@dataclass(frozen=True, slots=True)
class Fingered:
    """From `at_s` on the holes are in this state, as hole sensors or the computer's keys told it."""

    at_s: float
    state: HoleState


Played = Sounded | Fingered
