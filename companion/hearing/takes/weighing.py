"""Weighs how long a short note was, by what a sound said at each moment: an echo makes it longer. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.hearing.heard import HeardNote, SoundEvidence
from companion.hearing.spectra import Floats
from companion.hearing.takes.reading.expected_way import PUT_IN_NATS
from companion.listen.model.findings import Finding

RIGHT_S = 0.075
"""No gracenote is long that is shorter: at usual strictness each passes up to 85 ms, and an end may be 10 ms off."""

NEAR_S = 0.3
"""The longest time between the beginning of a long gracenote and where it is told."""


@dataclass(frozen=True, slots=True, eq=False)
class LengthWeighing:
    """What weighs lengths of the notes that were read. costs: those of the evidence, shape (moments, names)."""

    evidence: SoundEvidence
    costs: Floats
    notes: Sequence[HeardNote]

    def is_clearly_long(self, finding: Finding) -> bool:
        """Whether a gracenote that was told as long cannot as well have been short, ended or begun by its echo."""
        found = self._nearest(finding.heard, finding.at_s)
        if found is None:
            return False
        note = self.notes[found]
        before, after = self.notes[max(0, found - 1)], self.notes[min(found + 1, len(self.notes) - 1)]
        over = self._more(note, after, note.at_s + RIGHT_S, note.stop_s)
        late = self._more(note, before, note.at_s, note.stop_s - RIGHT_S)
        return min(over, late) >= PUT_IN_NATS

    def _more(self, told: HeardNote, other: HeardNote, begins_s: float, stops_s: float) -> float:
        """Return how much more a stretch costs as another note than as the one that is told there."""
        begin, stop = self.evidence.moment(begins_s), self.evidence.moment(stops_s)
        part = self.costs[begin:stop]
        return float((part[:, other.note] - part[:, told.note]).sum())

    def _nearest(self, letter: str, at_s: float) -> int | None:
        """The note of a letter that begins nearest to a time; None where none does."""
        near = [
            rank
            for rank, each in enumerate(self.notes)
            if each.note.letter == letter and abs(each.at_s - at_s) < NEAR_S
        ]
        return min(near, key=lambda rank: abs(self.notes[rank].at_s - at_s), default=None)
