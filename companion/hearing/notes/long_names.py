"""Long Fs and high Gs: where they lie on a chanter, how they waver, and which of the two a note surely is. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from companion.hearing.heard import HeardNote, SureName
from companion.hearing.learnt import Learnt
from companion.hearing.notes.runs.near_levels import NEAR_NOTES
from companion.hearing.notes.short_pitches import LONGEST_S, LongPitch
from fingering.notes import Note

ENOUGH_LOOKS = 16

NEAREST_SHARE = 0.3
"""A share of the way from F to high G: each look at a long note must be as near to one of them for it to be that."""

LEAST_APART_CENTS = 30.0
"""Nearer to each other they lie on no chanter: one of them was mostly the other, misheard. A choice, no source."""

FEWEST_LOOKS = 6
EDGE_S = 0.025
"""Nearer to a note's ends there may be a gracenote within it that was not heard apart."""


@dataclass(frozen=True, slots=True)
class LongNotes:
    """The places of long Fs and of the chart's high Gs, in cents above the F that was learnt, and how widely they waver
    within a note, as a spread: a short note is one moment of that."""

    f_cents: float
    high_g_cents: float
    wavers_cents: float

    @classmethod
    def of(cls, lasting: Sequence[LongPitch], learnt: Learnt) -> LongNotes:
        """By what was measured; where little was, by what was learnt."""
        looks = {note: [cents for each in lasting if each.note is note for cents in each.cents] for note in NEAR_NOTES}
        own = [np.array(each.cents) - np.mean(each.cents) for each in lasting if each.cents]
        wavers = 1.48 * float(np.median(np.abs(np.concatenate(own)))) if own else 0.0
        learnt_cents = float(1200.0 * np.log2(learnt.voice.hz[Note.HIGH_G] / learnt.voice.hz[Note.F]))
        f_cents, high_g_cents = (
            float(np.median(looks[note])) if len(looks[note]) >= ENOUGH_LOOKS else learnt_for
            for note, learnt_for in ((Note.F, 0.0), (Note.HIGH_G, learnt_cents))
        )
        return cls(f_cents, high_g_cents, wavers)

    def name(self, cents: Sequence[float]) -> Note | None:
        """The note that it surely is by all looks at it; None where they do not agree."""
        apart_cents = self.high_g_cents - self.f_cents
        if len(cents) < FEWEST_LOOKS or apart_cents < LEAST_APART_CENTS:
            return None
        shares = [(each - self.f_cents) / apart_cents for each in cents]
        if all(abs(each) < NEAREST_SHARE for each in shares):
            return Note.F
        return Note.HIGH_G if all(abs(1.0 - each) < NEAREST_SHARE for each in shares) else None


def long_names(
    notes: Sequence[HeardNote], lasting: Sequence[LongPitch], long: LongNotes, learnt: Learnt
) -> list[SureName]:
    """The long notes that surely are what they were told to be, and not the other one of these two."""
    grid = learnt.grid
    found = []
    left = list(lasting)
    for note in notes:
        if note.note not in NEAR_NOTES or note.length_s < LONGEST_S:
            continue
        left = [each for each in left if grid.centre_s(each.stop) > note.at_s]
        own = [each for each in left if grid.centre_s(each.first) < note.stop_s]
        cents = [each for one in own for each in one.cents]
        if long.name(cents) is note.note:
            inner = replace(note, at_s=note.at_s + EDGE_S, stop_s=note.stop_s - EDGE_S)
            found.append(SureName(inner, frozenset(NEAR_NOTES) - {note.note}))
    return found
