"""Finds the transposition that brings a tune for another instrument onto the chanter."""

from __future__ import annotations

from collections.abc import Collection

from fingering.notes import Note

FURTHEST = 36
"""Semitones up or down that a tune may be shifted: three octaves reach from a bass staff to a whistle's."""

_NINE = frozenset(note.midi for note in Note)


def shift_that_fits(sounding: Collection[int]) -> int | None:
    """The smallest shift, in semitones, that brings these MIDI notes onto the chanter; None where none does.

    Whole octaves are tried first.
    """
    shifts = sorted(range(-FURTHEST, FURTHEST + 1), key=lambda shift: (shift % 12 != 0, abs(shift), shift))
    return next((shift for shift in shifts if shift and all(each + shift in _NINE for each in sounding)), None)


def shift_words(shift: int) -> str:
    """A shift in words: "an octave higher", "2 semitones lower"."""
    octaves, semitones = divmod(abs(shift), 12)
    if semitones:
        size = f"{abs(shift)} semitones" if abs(shift) > 1 else "a semitone"
    else:
        size = f"{octaves} octaves" if octaves > 1 else "an octave"
    return f"{size} {'higher' if shift > 0 else 'lower'}"
