"""Changes of sound in a room where no note was heard to begin: something may have sounded there that was not named.
Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.hearing.heard import HeardNote, SoundEvidence
from companion.hearing.spectra import Floats
from companion.hearing.takes.around import begun_near

LONGEST_S, SHORTEST_S = 0.065, 0.02
"""How long before the next note a gracenote begins: of a longer one more is heard than how it begins, and nearer its
beginning is not told from the next note's."""

FOUND_NATS = 5.0
"""A change is one that costs no more than this beside what it costs anywhere. On trial (four seeds, seven sources in a
room) before 13 of 17 gracenotes that were played, and told to be missing, one was found for 4 nats and less; before 18
that were not played, none for less than 6.5."""


@dataclass(frozen=True, slots=True, eq=False)
class UnnamedChanges:
    """Where spectra change as no note does that was heard. changing: what a change costs at each moment of the
    evidence, in nats. notes: as they were read, in order."""

    evidence: SoundEvidence
    changing: Floats
    notes: Sequence[HeardNote]

    def hold_gracenote(self, at_s: float) -> bool:
        """Whether a gracenote may have begun shortly before the note that begins at a time."""
        near = begun_near(self.notes, at_s, LONGEST_S)
        if not near:
            return False
        note = self.notes[min(near, key=lambda rank: abs(self.notes[rank].at_s - at_s))]
        known = [self.notes[rank] for rank in begun_near(self.notes, note.at_s, LONGEST_S + SHORTEST_S)]
        first, stop = (self.evidence.moment(note.at_s - before_s) for before_s in (LONGEST_S, SHORTEST_S))
        return any(
            self.changing[moment] <= FOUND_NATS
            and all(abs(self.evidence.edge_s(moment) - each.at_s) > SHORTEST_S for each in known)
            for moment in range(first, min(stop, len(self.changing)))
        )
