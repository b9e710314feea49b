"""In a room a low note and the one an octave above it may be taken for each other: what is known by the tune. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from companion.hearing.heard import HeardNote, SoundEvidence
from companion.hearing.spectra import Floats
from fingering.notes import Note

OCTAVES: Mapping[Note, Note] = MappingProxyType(
    {Note.LOW_G: Note.HIGH_G, Note.LOW_A: Note.HIGH_A, Note.HIGH_G: Note.LOW_G, Note.HIGH_A: Note.LOW_A}
)
"""In a room half of a low note's partials may be taken for those of the note an octave above that still rings, and the
other way round: on trial a pipe chanter's low A and low G were."""

SOUNDING_ON_S = 0.1
"""A high note that seems to last so long may be the low one after the first."""


def octaves_doubted(notes: Sequence[HeardNote]) -> list[HeardNote]:
    """The notes; each that has an octave on the chanter could as well be that."""
    return [
        replace(each, others=each.others | {OCTAVES[each.note]}) if each.note in OCTAVES else each for each in notes
    ]


def with_octaves_in_doubt(costs: Floats, evidence: SoundEvidence, notes: Sequence[HeardNote]) -> Floats:
    """Costs of moments by name, in which a long high note costs no more as the low one: a low note that follows its
    octave, or ends in it, may be taken for that as long as it lasts."""
    out = costs.copy()
    for each in notes:
        low = OCTAVES.get(each.note)
        if low is not None and low < each.note and each.length_s >= SOUNDING_ON_S:
            begin, stop = evidence.moment(each.at_s), evidence.moment(each.stop_s)
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
