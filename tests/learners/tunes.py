"""Made-up tunes with the habits of pipe music: phrases that come back, dotted pairs, embellishments that fit."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from random import Random

from companion.score.model import COMMON_TIME, Bar, MelodyNote, Meter, Part, Phrase, Tempo, Tune
from companion.score.place import Place
from fingering.notes import Note

_NOWHERE = Place("<made up>", 1, 1)

# Gracenotes that fit a melody note, from low G up; common practice (the doublings as in Debian's bagpipe.ly).
_GRACES = {
    "G": ("", "g", "g", "d", "gGd"),
    "A": ("", "g", "g", "d", "e", "gAd", "GdGe"),
    "B": ("", "g", "g", "d", "gBd", "GdG"),
    "c": ("", "g", "g", "gcd", "gcG"),
    "d": ("", "g", "g", "gde", "Gdc", "gdG"),
    "e": ("", "g", "g", "gef", "geA", "GdGe"),
    "f": ("", "g", "g", "gfg"),
    "g": ("", "a", "gf"),
    "a": ("", "", "ag"),
}

_EIGHTH = Fraction(1, 8)
_COMMON_BEATS = ((2,), (1, 1), (1, 1), (Fraction(3, 2), Fraction(1, 2)), (Fraction(1, 2), Fraction(3, 2)))
_COMPOUND_BEATS = ((3,), (2, 1), (1, 1, 1), (1, 1, 1), (Fraction(3, 2), Fraction(1, 2), 1))
_SIX_EIGHT = Meter(6, 8, "6/8")


def _melody(random: Random, beats: int, shapes: Sequence[Sequence[Fraction | int]]) -> list[tuple[str, str, Fraction]]:
    """Note, gracenotes and length, beat by beat; the tune walks by steps and small leaps."""
    scale = "GABcdefga"
    at = random.randrange(1, 8)
    bar: list[tuple[str, str, Fraction]] = []
    for _ in range(beats):
        for rank, length in enumerate(random.choice(shapes)):
            at = min(8, max(0, at + random.choice((-4, -2, -1, -1, 0, 1, 1, 2, 3))))
            letter = scale[at]
            short = Fraction(length) < 1
            choices = ("", "g") if short and letter not in "ga" else ("",) if short else _GRACES[letter]
            graces = random.choice(choices if rank == 0 else choices[:4])
            if bar and bar[-1][0] == letter and not graces:
                graces = "g" if letter not in "ga" else "a" if letter == "g" else "g"
            if bar and bar[-1][0] in "ga":
                graces = _without_g(graces, letter)
            bar.append((letter, graces, Fraction(length) * _EIGHTH))
    return bar


def _without_g(graces: str, letter: str) -> str:
    """From a note with the upper index up there is no G gracenote."""
    return graces.removeprefix("g") if graces.startswith("g") and letter != "a" else graces


def _part_equal(before: tuple[str, str, Fraction], bar: list[tuple[str, str, Fraction]]) -> None:
    """Give the first note of a bar a gracenote where nothing else parts it from an equal one before it."""
    letter, graces, length = bar[0]
    if before[0] == letter and not graces:
        bar[0] = letter, "a" if letter == "g" else "g", length


def make_tune(draw: int, *, bars: int = 8, parts: int = 2) -> Tune:
    """A tune of `parts` parts of `bars` bars, each played twice; simple or compound time by the draw."""
    random = Random(draw)
    compound = random.random() < 0.4
    meter, shapes, beats = (_SIX_EIGHT, _COMPOUND_BEATS, 2) if compound else (COMMON_TIME, _COMMON_BEATS, 4)
    length = meter.bar_length or Fraction(1)
    written: list[list[tuple[str, str, Fraction]]] = []
    for _ in range(parts):
        theme = [_melody(random, beats, shapes) for _ in range(2)]
        fresh = [_melody(random, beats, shapes) for _ in range(max(0, bars - 4))]
        written += [*theme, *fresh[: bars // 2 - 2], *theme, *fresh[bars // 2 - 2 :]][:bars]
    order = [bar for part in range(parts) for _ in range(2) for bar in range(part * bars, (part + 1) * bars)]
    for before, after in pairwise(order):
        _part_equal(written[before][-1], written[after])
    index = 0
    made: list[Bar] = []
    for number, content in enumerate(written, start=1):
        notes = []
        for letter, graces, duration in content:
            group = tuple(Note.from_letter(each) for each in graces)
            notes.append(MelodyNote(index, Note.from_letter(letter), duration, group, _NOWHERE))
            index += 1
        made.append(Bar(number, tuple(notes), meter, length, _NOWHERE))
    return Tune(
        str(draw),
        f"Made up {draw}",
        meter,
        tuple(made),
        tuple(order),
        tuple(
            Part(str(part + 1), part * bars, (part + 1) * bars, (Phrase(part * bars, (part + 1) * bars, "a"),))
            for part in range(parts)
        ),
        _NOWHERE,
        tempo=Tempo(meter.beat_length, 70.0),
    )
