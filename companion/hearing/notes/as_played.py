"""Reads a way through a sound as it can have been played: some false fingerings lead nowhere. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from companion.hearing.path import NO_PITCH, HeardStretch
from companion.hearing.voice import LearntVoice
from fingering.notes import Note

NEAR_CENTS = 60.0
"""A note that wavers by a fifth of a semitone, as sampled oboes do, comes as near as this to a false fingering."""


def as_played(way: Sequence[HeardStretch], voice: LearntVoice) -> list[HeardStretch]:
    """A way in which a false fingering that leads to another note of nearly its pitch is that note, which wavers, or
    the one that it is named by, as in the chart: whichever it is likelier to be. Where what it costs is not known and
    it is not nearer to the first it is no pitch, so that nothing is learnt of it.

    A gracenote's false fingering is what its finger leaves over the note beneath, to which it leads; and over F high G
    is that of the chart. So none of those that lie near F leads to it.
    """
    cents: NDArray[np.float64] = 1200.0 * np.log2(voice.hz)
    out = list(way)
    for rank in range(len(out) - 2, -1, -1):
        each, after = out[rank], out[rank + 1]
        if each.pitch < len(Note) or after.pitch == NO_PITCH or after.pitch >= len(Note):
            continue
        own = voice.pitches[each.pitch].note
        if own is not voice.pitches[after.pitch].note and abs(cents[each.pitch] - cents[after.pitch]) < NEAR_CENTS:
            out[rank] = replace(each, pitch=_likelier(each, after.pitch, own, cents))
    return out


def _likelier(each: HeardStretch, after: int, own: Note, cents: NDArray[np.float64]) -> int:
    if each.costs:
        return min((after, own), key=lambda pitch: each.costs[pitch])
    return after if abs(cents[each.pitch] - cents[after]) < abs(cents[each.pitch] - cents[own]) else NO_PITCH
