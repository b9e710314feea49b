"""The fingering chart: each of the nine notes as a hole state, and the note that any hole state sounds.

The chart is common practice, no source. A state is named by its topmost open hole; that this holds for all 256 states
is what the acoustic model shows.
"""

from __future__ import annotations

from fingering.holes import ALL_CLOSED, Finger, HoleState
from fingering.notes import Note

_CHART = {
    Note.LOW_G: HoleState.parse("x xxx xxxx"),
    Note.LOW_A: HoleState.parse("x xxx xxxo"),
    Note.B: HoleState.parse("x xxx xxoo"),
    Note.C: HoleState.parse("x xxx xoox"),
    Note.D: HoleState.parse("x xxx ooox"),
    Note.E: HoleState.parse("x xxo xxxo"),
    Note.F: HoleState.parse("x xoo xxxo"),
    Note.HIGH_G: HoleState.parse("x ooo xxxo"),
    Note.HIGH_A: HoleState.parse("o oox xxxo"),
}

_VENT: dict[Note, Finger | None] = {note: state.topmost_open() for note, state in _CHART.items()}
_NOTE_BY_VENT = {vent: note for note, vent in _VENT.items()}


def chart(note: Note) -> HoleState:
    """The hole state in which a melody note is held."""
    return _CHART[note]


def vent(note: Note) -> Finger | None:
    """The topmost open hole of a note, which decides its pitch; None for low G, where all are closed."""
    return _VENT[note]


def sounded(state: HoleState) -> Note:
    """The note that a hole state sounds, within 60 cents, by its topmost open hole (see fingering.acoustics)."""
    return _NOTE_BY_VENT[state.topmost_open()]


def sounding_from(base: HoleState, note: Note) -> HoleState:
    """The state nearest to `base` that sounds `note`: what is open above its vent is closed, its vent is opened.

    This is how a gracenote is fingered: one finger lifted from, or a few tapped onto, the state that it decorates,
    never the whole fingering where a finger will do.
    """
    hole = _VENT[note]
    if hole is None:
        return ALL_CLOSED
    above = tuple(finger for finger in Finger if finger < hole)
    return base.dropping(*above).lifting(hole)
