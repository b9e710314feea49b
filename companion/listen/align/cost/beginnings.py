"""Where a learner may begin again for less than elsewhere: at the bar in hand, at the note in hand."""

from __future__ import annotations

from itertools import pairwise, takewhile

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
    notes, bars, found = note.tolist(), bar_of.tolist(), [0] * len(note)
    first, first_sounds = 0, []
    for before, place in pairwise([0, *np.flatnonzero(is_melody).tolist()]):
        sounds = notes[before + 1 : place + 1]
        if before < bars[place]:
            first, first_sounds = place, sounds
        elif sounds == first_sounds:
            found[place] = first + 1
    return np.array(found)


def notes_again(note: Ints, is_melody: Bools, unit: Ints) -> Ints:
    """Return for each place the melody note that is begun again there, with NOTE_AGAIN_GRACENOTES or more; else the
    place itself. unit: the played note that each place is or leads to."""
    notes, units, places = note.tolist(), unit.tolist(), list(range(len(note)))
    for before, melody in pairwise([0, *np.flatnonzero(is_melody).tolist()]):
        if melody - before <= costs.NOTE_AGAIN_GRACENOTES:
            continue
        first = before + 1
        while units[first] != units[melody]:
            first += 1
        # The note held on swallows an equal gracenote with which its embellishment begins.
        first += notes[first] == notes[melody]
        if melody - first >= costs.NOTE_AGAIN_GRACENOTES:
            places[first] = melody
    return np.array(places)


def going_on(note: Ints, again_from: Ints) -> Bools:
    """Return for each place whether a melody note begun again sounds, up to there, as what follows it in the tune."""
    notes, melodies, found = note.tolist(), again_from.tolist(), [False] * len(note)
    for first in np.flatnonzero(again_from != np.arange(len(note))).tolist():
        melody = melodies[first]
        again, ahead = notes[first : melody + 1], notes[melody + 1 : 2 * melody + 2 - first]
        same = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(again, ahead, strict=False)))
        if same < len(ahead):
            found[melody + 1 : melody + 1 + same] = [True] * same
    return np.array(found)
