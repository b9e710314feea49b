"""Where a learner may begin again for less than elsewhere: at the bar in hand, at the note in hand."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from companion.listen.align.cost import costs
from companion.listen.align.cost.arrays import Bools, Ints
from companion.listen.model.asked import Asked


def bars_of(asked: Asked, size: int) -> Ints:
    """Return for each place that with which its bar begins; -1 before the first."""
    bars = np.array(asked.bar_starts, dtype=np.int64) + 1
    begun = np.searchsorted(bars, np.arange(size), side="right") - 1
    return np.where(begun >= 0, bars[np.maximum(begun, 0)], -1)


def second_notes(note: Ints, is_melody: Bools, bar_of: Ints) -> Ints:
    """Return for each melody note that sounds, gracenotes and all, like the first of its bar the place with which the
    second of the bar begins; 0 for all others. Who begins the bar again may seem to go on for a note."""
    found = np.zeros(len(note), dtype=np.int64)
    first, first_sounds = 0, []
    for before, place in pairwise([0, *np.flatnonzero(is_melody).tolist()]):
        sounds = note[before + 1 : place + 1].tolist()
        if before < bar_of[place]:
            first, first_sounds = place, sounds
        elif sounds == first_sounds:
            found[place] = first + 1
    return found


def notes_again(note: Ints, is_melody: Bools, unit: Ints) -> Ints:
    """Return for each place the melody note that is begun again there, with NOTE_AGAIN_GRACENOTES or more; else the
    place itself. unit: the played note that each place is or leads to."""
    places = np.arange(len(note))
    for melody in np.flatnonzero(is_melody).tolist():
        first = melody
        while unit[first - 1] == unit[melody] and not is_melody[first - 1]:
            first -= 1
        # The note held on swallows an equal gracenote with which its embellishment begins.
        first += note[first] == note[melody]
        if melody - first >= costs.NOTE_AGAIN_GRACENOTES:
            places[first] = melody
    return places


def going_on(note: Ints, again_from: Ints) -> Bools:
    """Return for each place whether a melody note begun again sounds, up to there, as what follows it in the tune."""
    found = np.zeros(len(note), dtype=bool)
    for first in np.flatnonzero(again_from != np.arange(len(note))).tolist():
        melody = int(again_from[first])
        ahead = note[melody + 1 : 2 * melody + 2 - first]
        differs = np.flatnonzero(note[first : first + len(ahead)] != ahead)
        if len(differs):
            found[melody + 1 : melody + 1 + differs[0]] = True
    return found
