"""The shift that brings a tune onto the chanter which was written higher or lower."""

from __future__ import annotations

from collections.abc import Collection

from fingering.notes import Note

FURTHEST = 36
"""Semitones up or down that a tune may be shifted: three octaves reach from a bass staff to a whistle's."""

_NINE = frozenset(note.midi for note in Note)


def shift_that_fits(sounding: Collection[int]) -> int | None:
    """The least shift that brings these MIDI notes onto the chanter, whole octaves first; None where none does."""
    shifts = sorted(range(-FURTHEST, FURTHEST + 1), key=lambda shift: (shift % 12 != 0, abs(shift), shift))
    return next((shift for shift in shifts if shift and all(each + shift in _NINE for each in sounding)), None)


def shift_words(shift: int) -> str:
    """A shift for people: "an octave higher", "2 semitones lower"."""
    octaves, semitones = divmod(abs(shift), 12)
    if semitones:
        size = f"{abs(shift)} semitones" if abs(shift) > 1 else "a semitone"
    else:
        size = f"{octaves} octaves" if octaves > 1 else "an octave"
    return f"{size} {'higher' if shift > 0 else 'lower'}"
