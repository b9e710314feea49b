"""In a room a low note and the one an octave above it may be taken for each other, under drones F and high G, less than
a semitone apart: what is known by the tune. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from companion.hearing.heard import HeardNote, SoundEvidence
from companion.hearing.spectra import Floats
from companion.hearing.takes.reading.expected_way import SHORTEST_MELODY_MOMENTS
from fingering.notes import Note

OCTAVES: Mapping[Note, Note] = MappingProxyType(
    {Note.LOW_G: Note.HIGH_G, Note.LOW_A: Note.HIGH_A, Note.HIGH_G: Note.LOW_G, Note.HIGH_A: Note.LOW_A}
)
"""In a room half of a low note's partials may be taken for those of the note an octave above that still rings, and the
other way round: on trial a pipe chanter's low A and low G were."""

SOUNDING_ON_S = 0.1
"""A high note that seems to last so long may be the low one after the first."""


SURE_NATS = 6.0
"""A note is surely not its octave where that costs so much more at each moment, in the mean. On trial (seeds 1501 and
2061) long notes that were heard as their octave cost 5.8 more as what they were at most, nine in ten that were right
4.7 and more, half of them 10.8."""


NEIGHBOURS: Mapping[Note, Note] = MappingProxyType({Note.F: Note.HIGH_G, Note.HIGH_G: Note.F})
SURE_NEIGHBOUR_NATS = 4.0
"""F and high G, likewise, under drones (seed 2007, a shawm and a pipe voice): 10 of 13 that were heard as the other
cost 3.2 more at most, all but one in twenty that were right 4.5 and more."""


@dataclass(frozen=True, slots=True, eq=False)
class NameDoubt:
    """Which notes may as well be another. costs: of the evidence, as it was heard. others: which note each may be
    taken for. sure_nats: by how much that must cost more at each moment, in the mean, for a note to be sure."""

    evidence: SoundEvidence
    costs: Floats
    others: Mapping[Note, Note]
    sure_nats: float

    def holds(self, note: HeardNote) -> bool:
        """Whether a note could as well be the other."""
        other = self.others.get(note.note)
        if other is None:
            return False
        part = self.costs[self.evidence.moment(note.at_s) : self.evidence.moment(note.stop_s)]
        return len(part) == 0 or float((part[:, other] - part[:, note.note]).mean()) < self.sure_nats

    def hides(self, note: HeardNote) -> bool:
        """Whether a melody note's shortest time in a note could as well be the other."""
        other = self.others.get(note.note)
        if other is None:
            return False
        part = self.costs[self.evidence.moment(note.at_s) : self.evidence.moment(note.stop_s)]
        if len(part) == 0:
            return True
        length = min(SHORTEST_MELODY_MOMENTS, len(part))
        sums = np.concatenate(([0.0], np.cumsum(part[:, other] - part[:, note.note], dtype=np.float64)))
        return float((sums[length:] - sums[:-length]).min()) < length * self.sure_nats

    def doubted(self, notes: Sequence[HeardNote]) -> list[HeardNote]:
        """The notes; each that this holds of could as well be the other."""
        return [
            replace(each, others=each.others | {self.others[each.note]}) if self.holds(each) else each for each in notes
        ]


class OctaveDoubt(NameDoubt):
    """Which notes may as well be their octave, in a room."""

    def __init__(self, evidence: SoundEvidence, costs: Floats) -> None:
        super().__init__(evidence, costs, OCTAVES, SURE_NATS)

    def in_costs(self, costs: Floats, notes: Sequence[HeardNote]) -> Floats:
        """Costs of moments by name, in which a long high note that is in doubt costs no more as the low one: a low note
        that follows its octave, or ends in it, may be taken for that as long as it lasts."""
        out = costs.copy()
        for each in notes:
            low = OCTAVES.get(each.note)
            if low is not None and low < each.note and each.length_s >= SOUNDING_ON_S and self.holds(each):
                begin, stop = self.evidence.moment(each.at_s), self.evidence.moment(each.stop_s)
                out[begin:stop, low] = np.minimum(out[begin:stop, low], out[begin:stop, each.note])
        return out


def octaves_read(heard: Sequence[HeardNote], read: Sequence[HeardNote]) -> list[HeardNote]:
    """The long high notes in which the low one was read with the tune in hand: when notes began there is not known."""
    lows = [each for each in read if each.note in OCTAVES and each.note < OCTAVES[each.note]]
    return [
        each
        for each in heard
        if each.length_s >= SOUNDING_ON_S
        and any(OCTAVES[low.note] is each.note and low.at_s < each.stop_s and each.at_s < low.stop_s for low in lows)
    ]
