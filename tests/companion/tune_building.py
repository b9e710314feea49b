"""Small tunes built by hand, for tests of what comes after reading."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from companion.score.model import Bar, MelodyNote, Meter, Part, Tempo, Tune
from companion.score.place import Place
from fingering.notes import Note

HERE = Place("<test>", 1, 1)
TWO_FOUR = Meter(2, 4, "2/4")
QUAVER = Fraction(1, 8)


def note(letter: str, duration: Fraction = QUAVER, graces: str = "") -> MelodyNote:
    """A melody note by its ABC letter ("z" is a rest) with gracenotes by theirs; its index is set by `tune`."""
    pitch = None if letter == "z" else Note.from_letter(letter)
    return MelodyNote(0, pitch, duration, tuple(Note.from_letter(each) for each in graces), HERE)


def notes(text: str, duration: Fraction = QUAVER) -> tuple[MelodyNote, ...]:
    """Melody notes of equal length from words such as "A gcd:c": gracenotes, a colon, the melody note."""
    parts = (word.rpartition(":") for word in text.split())
    return tuple(note(letter, duration, graces) for graces, _, letter in parts)


def tune(
    *bars: Sequence[MelodyNote],
    meter: Meter = TWO_FOUR,
    tempo: Tempo | None = None,
    order: Sequence[int] | None = None,
    pick_up: bool = False,
    lengths: Sequence[Fraction] | None = None,
    tempos: Sequence[Tempo | None] | None = None,
) -> Tune:
    """A tune of one part with these bars, played once through unless `order` says otherwise."""
    built, index = [], 0
    for rank, bar_notes in enumerate(bars):
        numbered = tuple(each._replace(rank=index + i) for i, each in enumerate(bar_notes))
        index += len(numbered)
        length = lengths[rank] if lengths else sum((each.duration for each in numbered), Fraction(0))
        number = rank + (0 if pick_up else 1)
        built.append(Bar(number, numbered, meter, length, HERE, tempo=tempos[rank] if tempos else None))
    played = tuple(range(len(bars)) if order is None else order)
    return Tune("1", "Test", meter, tuple(built), played, (Part("A", 0, len(built), ()),), HERE, tempo=tempo)
