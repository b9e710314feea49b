"""Weighs how long short notes were, by what a sound said at each moment: an echo makes them longer. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.hearing.evidence import SoundEvidence
from companion.hearing.heard import HeardNote
from companion.hearing.spectra import Floats
from companion.hearing.takes.expected_way import PUT_IN_NATS
from companion.listen.model.findings import Finding

RIGHT_S = 0.075
"""No gracenote is long that is shorter: at usual strictness each passes up to 85 ms, and an end may be 10 ms off."""

NEAR_S = 0.3
"""So far from where it is told an embellishment's first gracenote may lie: as `kinder.BEFORE_S`."""


@dataclass(frozen=True, slots=True, eq=False)
class LengthWeighing:
    """What weighs lengths of the notes that were read. costs: those of the evidence, shape (moments, names)."""

    evidence: SoundEvidence
    costs: Floats
    notes: Sequence[HeardNote]

    def is_clearly_long(self, finding: Finding) -> bool:
        """Whether a gracenote that was told as long cannot as well have been short, ended or begun by its echo."""
        found = self._run(finding.heard[:1], finding.at_s)
        if found is None:
            return False
        note = self.notes[found]
        before, after = self.notes[max(0, found - 1)], self.notes[min(found + 1, len(self.notes) - 1)]
        over = self._more(note, after, note.at_s + RIGHT_S, note.stop_s)
        late = self._more(note, before, note.at_s, note.stop_s - RIGHT_S)
        return min(over, late) >= PUT_IN_NATS

    def is_clearly_uneven(self, finding: Finding) -> bool:
        """Whether gracenotes that were told as uneven cannot as well have been even."""
        found = self._run(finding.heard, finding.at_s)
        if found is None:
            return False
        played = self.notes[found : found + len(finding.heard)]
        begins_s, stop_s = played[0].at_s, played[-1].stop_s
        each_s = (stop_s - begins_s) / len(played)
        more = 0.0
        for rank, (one, other) in enumerate(zip(played[:-1], played[1:], strict=True), 1):
            even_s = begins_s + rank * each_s
            first, last = (other, one) if even_s > other.at_s else (one, other)
            more += self._more(first, last, min(even_s, other.at_s), max(even_s, other.at_s))
        return more >= PUT_IN_NATS

    def _more(self, told: HeardNote, other: HeardNote, begins_s: float, stops_s: float) -> float:
        """By how much a stretch costs more as another note than as the one that is told there."""
        begin, stop = self.evidence.moment(begins_s), self.evidence.moment(stops_s)
        part = self.costs[begin:stop]
        return float((part[:, other.note] - part[:, told.note]).sum())

    def _run(self, letters: str, at_s: float) -> int | None:
        """Where the notes of these letters begin that lie nearest to a time; None where none do."""
        heard = "".join(each.note.letter for each in self.notes)
        best, nearest_s = None, NEAR_S
        at = heard.find(letters) if letters else -1
        while at >= 0:
            away_s = abs(self.notes[at].at_s - at_s)
            if away_s < nearest_s:
                best, nearest_s = at, away_s
            at = heard.find(letters, at + 1)
        return best
