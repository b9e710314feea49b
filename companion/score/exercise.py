"""Makes a tune of one embellishment between two notes, to be watched and practised alone."""

from __future__ import annotations

from fractions import Fraction

from companion.score.model import COMMON_TIME, Bar, MelodyNote, Part, Phrase, Tempo, Tune
from companion.score.place import Place
from fingering.embellishments import recognise, spell
from fingering.notes import Note

_CROTCHET = Fraction(1, 4)
_BEATS_PER_MINUTE = 60.0


def embellishment_exercise(name: str, onto: Note, before: Note) -> Tune:
    """One bar of 4/4: `before`, then `onto` with the embellishment, twice.

    name: as in `fingering.embellishments.naming.spell`. Raises UserError when the embellishment has no spelling onto
    that note.
    """
    notes = spell(name, onto=onto, before=before)
    title = recognise(notes, onto=onto, before=before).name
    place = Place(f"<{title}>", 1, 1)
    first = MelodyNote(0, before, _CROTCHET, (), place)
    rest = (
        MelodyNote(1, onto, _CROTCHET, notes, place),
        MelodyNote(2, before, _CROTCHET, (), place),
        MelodyNote(3, onto, _CROTCHET, notes, place),
    )
    bar = Bar(1, (first, *rest), COMMON_TIME, Fraction(1), place)
    part = Part("1", 0, 1, (Phrase(0, 1, "a"),))
    tempo = Tempo(_CROTCHET, _BEATS_PER_MINUTE)
    words = f"{title}, {before.label} to {onto.label}"
    return Tune("1", words, COMMON_TIME, (bar,), (0,), (part,), place, rhythm="exercise", tempo=tempo)
