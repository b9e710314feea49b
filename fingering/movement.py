"""Fingers a group of gracenotes: from notes to hole states."""

from __future__ import annotations

from collections.abc import Sequence

from fingering.chart import chart, sounding_from
from fingering.holes import HoleState
from fingering.notes import Note


def gracenote_states(gracenotes: Sequence[Note], onto: Note) -> tuple[HoleState, ...]:
    """The hole state of each gracenote that leads onto the melody note `onto`, in playing order.

    Each is fingered from the state that follows it: a higher note lifts one finger, a lower one taps down what is open
    above its vent. So the D and E gracenotes of a taorluath onto low A are ``x xxx oxxx`` and ``x xxo xxxo``. Where a
    gracenote is a touch of the melody note itself, before or between strikes, the fingers are in its own place.
    """
    states: list[HoleState] = []
    base = chart(onto)
    for rank in reversed(range(len(gracenotes))):
        base = chart(onto) if _touches(gracenotes, rank, onto) else sounding_from(base, gracenotes[rank])
        states.append(base)
    return tuple(reversed(states))


def _touches(gracenotes: Sequence[Note], rank: int, onto: Note) -> bool:
    """Whether a gracenote is the melody note itself, fingered in full rather than by lifting one finger.

    It is when nothing lower led to it (gBG onto B), or nothing but strikes follows it (the second B of gBGBG). In
    between, as in a heavy throw GdGc onto D, a single finger is lifted as in any grip.
    """
    if gracenotes[rank] is not onto:
        return False
    begins = all(note >= onto for note in gracenotes[:rank])
    struck = len(set(gracenotes[rank:]) - {onto}) <= 1
    return begins or struck
