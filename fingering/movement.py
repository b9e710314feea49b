"""From gracenotes and melody notes to hole states."""

from __future__ import annotations

from collections.abc import Sequence

from fingering.chart import chart, sounding_from
from fingering.holes import HoleState
from fingering.notes import Note


def gracenote_states(gracenotes: Sequence[Note], onto: Note) -> tuple[HoleState, ...]:
    """The hole state of each gracenote that leads onto the melody note `onto`, in playing order.

    Each is fingered from the state that follows it: a higher note lifts one finger, a lower one taps down what is open
    above its vent. So the D and E gracenotes of a taorluath onto low A are ``x xxx oxxx`` and ``x xxo xxxo``.
    """
    states: list[HoleState] = []
    base = chart(onto)
    for note in reversed(gracenotes):
        base = sounding_from(base, note)
        states.append(base)
    return tuple(reversed(states))
