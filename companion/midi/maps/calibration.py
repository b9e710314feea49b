"""Learns a note map from the nine notes played upward."""

from __future__ import annotations

from companion.midi.maps.note_map import NoteMap
from companion.midi.stream.line import Timed
from companion.midi.stream.monophony import Monophony, SoundingNumber
from fingering.notes import Note

SETTLED_S = 0.25
"""A note counts once it has sounded this long: a crossing noise between two notes does not."""


class Calibration:
    """Learns a map from the nine notes played upward, low G first, each held for SETTLED_S or longer.

    A note that is repeated counts once. One lower than the last begins anew, with itself as low G.
    """

    def __init__(self) -> None:
        self._monophony = Monophony()
        self._learnt: list[int] = []
        self._unsettled: SoundingNumber | None = None

    @property
    def learnt(self) -> tuple[int, ...]:
        """The note numbers learnt so far, low G first."""
        return tuple(self._learnt)

    @property
    def wanted(self) -> Note | None:
        """The note to play next; None when all nine are learnt."""
        return Note(len(self._learnt)) if len(self._learnt) < len(Note) else None

    @property
    def learnt_map(self) -> NoteMap | None:
        """The finished map, None before the ninth note."""
        return None if self.wanted is not None else NoteMap(self.learnt)

    def hear(self, timed: Timed) -> None:
        """Take in a message; the note that it ends is learnt if it sounded for SETTLED_S."""
        self.pass_time(timed.at_s)
        for heard in self._monophony.hear(timed.message, timed.at_s):
            self._unsettled = heard

    def pass_time(self, now_s: float) -> None:
        """Learn the note that sounds at `now_s`, once it has sounded for SETTLED_S."""
        sounding = self._unsettled
        if sounding is not None and sounding.number is not None and now_s - sounding.at_s >= SETTLED_S:
            self._unsettled = None
            self._learn(sounding.number)

    def _learn(self, number: int) -> None:
        if self.wanted is None or (self._learnt and number == self._learnt[-1]):
            return
        if self._learnt and number < self._learnt[-1]:
            self._learnt.clear()
        self._learnt.append(number)
