"""The pitches that a chanter can sound: the nine notes, and the false fingerings that lie apart from them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from fingering.acoustics.sounding import soundings
from fingering.chart import chart
from fingering.holes import Finger
from fingering.notes import Note, Tuning

APART_CENTS = 8.0
"""Fingerings of one note that lie nearer together are one pitch to the ear here: notes drift by as much in a minute."""


@dataclass(frozen=True, slots=True)
class AudiblePitch:
    """One pitch. note: which it is named by, from its topmost open hole. off_cents: how far above that note's own it
    lies, 0 for the fingering of the chart. veil: as `Sounding.veil`."""

    note: Note
    off_cents: float
    veil: float = 0.0

    @property
    def plain(self) -> bool:
        """Whether it is the note itself."""
        return self.off_cents == 0.0


@cache
def audible_pitches(tuning: Tuning) -> tuple[AudiblePitch, ...]:
    """The nine notes, low G first, then the false fingerings of gracenotes and strikes that lie apart from them.

    They are those with one finger lifted from a note's fingering or laid on: what crossings sound besides lies within
    a few cents of one of these. Raises UserError for a tuning that no chanter was computed for.
    """
    table = soundings(tuning)
    found = [AudiblePitch(note, 0.0) for note in Note]
    for note in Note:
        state = chart(note)
        moved = [state.lifting(each) if state.closed(each) else state.dropping(each) for each in Finger]
        for other in sorted(moved, key=lambda each: table[each].off_note_cents):
            sounding = table[other]
            near = (
                each.note is sounding.note and abs(each.off_cents - sounding.off_note_cents) < APART_CENTS
                for each in found
            )
            if not any(near):
                found.append(AudiblePitch(sounding.note, round(sounding.off_note_cents, 1), sounding.veil))
    return tuple(found)
