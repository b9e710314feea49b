"""Changes of sound in a room where no note was heard to begin: something may have sounded there that was not named.
Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from companion.hearing.heard import HeardNote, SoundEvidence
from companion.hearing.spectra import Floats
from companion.hearing.takes.around import begun_near, is_short, sounding_at

LONGEST_S, SHORTEST_S = 0.065, 0.02
"""How long before the next note a gracenote begins: of a longer one more is heard than how it begins, and nearer its
beginning is not told from the next note's."""

EDGE_S, SETTLED_S = 0.0225, 0.045
"""How long before and after a note that was heard begins spectra change as it begins: what sounded before fades."""

FOUND_NATS = 2.0
"""A change is one that costs no more than this beside what it costs anywhere. On trial (31 seeds, seven sources in a
room) before 42 of 45 gracenotes that were played, and told to be missing, one was found for as little; of 15 that were
not played, but had one before them for 5 nats, before 7."""

BEGUN_S, ENDING_S, LEAST_STEADY_S = 0.1, 0.12, 0.1
"""Between so long after its beginning and so long before its end a note only goes on. One of which so much is looked at
and that changes then, as a sampled oboe's that sways, may change so at any time: of 17 gracenotes that were found by a
change in a note that was as long and did not, all were played (16 seeds)."""


@dataclass(frozen=True, slots=True, eq=False)
class UnnamedChanges:
    """Changes of spectra that no note makes that was heard. changing: what a change costs at each moment of the
    evidence, in nats. notes: as they were read, in order."""

    evidence: SoundEvidence
    changing: Floats
    notes: Sequence[HeardNote]

    def hold_gracenote(self, at_s: float) -> bool:
        """Whether a gracenote may have begun unheard in the movement that leads to the note that begins at a time:
        shortly before that, or before the first of the gracenotes that were heard, or between them."""
        near = begun_near(self.notes, at_s, LONGEST_S)
        if not near:
            return False
        rank = min(near, key=lambda each: abs(self.notes[each].at_s - at_s))
        short = sum(1 for _ in takewhile(is_short, reversed(self.notes[:rank])))
        known_s = [each.at_s for each in self.notes[max(0, rank - short - 1) : rank + 2]]
        begins_s, stops_s = self.notes[rank - short].at_s, self.notes[rank].at_s
        first, stop = (self.evidence.moment(each) for each in (begins_s - LONGEST_S, stops_s - SHORTEST_S))
        return any(
            self.changing[moment] <= FOUND_NATS
            and not any(-EDGE_S <= self.evidence.edge_s(moment) - each <= SETTLED_S for each in known_s)
            and not self._is_swaying(self.evidence.edge_s(moment))
            for moment in range(first, min(stop, len(self.changing)))
        )

    def _is_swaying(self, at_s: float) -> bool:
        """Whether the note that sounds at a moment changes as it goes on."""
        rank = sounding_at(self.notes, at_s)
        if rank < 0:
            return False
        note = self.notes[rank]
        begins_s, stops_s = note.at_s + BEGUN_S, note.stop_s - ENDING_S
        if stops_s - begins_s < LEAST_STEADY_S:
            return False
        steady = self.changing[self.evidence.moment(begins_s) : self.evidence.moment(stops_s)]
        return bool((steady <= FOUND_NATS).any())
