"""Data that a live hearing tells: what it is about, and the note that sounds."""

from __future__ import annotations

import enum
from dataclasses import dataclass

from fingering.notes import Note


class HearingState(enum.Enum):
    """Says what a live hearing is about: WAITING for a chanter to sound, LEARNING its voice, or HEARING its notes."""

    WAITING = "waiting"
    LEARNING = "learning"
    HEARING = "hearing"


@dataclass(frozen=True, slots=True)
class LiveNote:
    """What sounds from `at_s` on, in s from the first sample: a note, or None for silence.

    confidence: 0 to 1, how sure it is by what of it had been heard when it was told.
    """

    at_s: float
    note: Note | None
    confidence: float = 1.0
