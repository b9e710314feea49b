"""Makes a tune of one embellishment between two notes, to be watched and practised alone."""

from __future__ import annotations

from fractions import Fraction

from companion.score.model import COMMON_TIME, Bar, MelodyNote, Part, Phrase, Tempo, Tune
from companion.score.place import Place
from fingering.embellishments import Embellishment, recognise, spell
from fingering.notes import Note

_CROTCHET = Fraction(1, 4)
_BEATS_PER_MINUTE = 60.0


def embellishment_exercise(name: str, onto: Note, before: Note) -> Tune:
    """One bar of 4/4: `before`, then `onto` with the embellishment, twice.

    name: as in `fingering.embellishments.naming.spell`. Raises UserError when the embellishment has no spelling onto
    that note.
    """
    notes = spell(name, onto=onto, before=before)
    return exercise_of(recognise(notes, onto=onto, before=before), before)


def exercise_of(embellishment: Embellishment, before: Note) -> Tune:
    """Return the exercise on an embellishment whose gracenotes are given, as on one from a tune."""
    words = f"{embellishment.name}, {before.label} to {embellishment.onto.label}"
    return _back_and_forth(before, embellishment.onto, embellishment.gracenotes, embellishment.name, words)


def change_exercise(before: Note, after: Note) -> Tune:
    """Return the exercise on a change of note, back and forth: one bar of 4/4, `before` and `after` twice."""
    return _back_and_forth(before, after, (), "change of note", f"{before.label} and {after.label}")


def _back_and_forth(before: Note, onto: Note, gracenotes: tuple[Note, ...], name: str, words: str) -> Tune:
    """One bar of 4/4: a note, and another with gracenotes, twice."""
    place = Place(f"<{name}>", 1, 1)
    written: tuple[tuple[Note, tuple[Note, ...]], ...] = ((before, ()), (onto, gracenotes)) * 2
    notes = tuple(MelodyNote(rank, note, _CROTCHET, graces, place) for rank, (note, graces) in enumerate(written))
    bar = Bar(1, notes, COMMON_TIME, Fraction(1), place)
    part = Part("1", 0, 1, (Phrase(0, 1, "a"),))
    tempo = Tempo(_CROTCHET, _BEATS_PER_MINUTE)
    return Tune("1", words, COMMON_TIME, (bar,), (0,), (part,), place, rhythm="exercise", tempo=tempo)
