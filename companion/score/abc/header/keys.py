"""Reads K: fields, and tells which of the chanter's notes an ABC letter stands for in a key."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from companion.score.abc.text.remembering import remembered
from fingering.notes import Note

_NATURAL_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_MIDDLE_C = 60
_ACCIDENTALS = {"": 0, "=": 0, "^": 1, "^^": 2, "_": -1, "__": -2}
_BY_MIDI = {note.midi: note for note in Note}
_BY_LETTER = {note.letter: note for note in Note}

SHARPS_IN_ORDER = "FCGDAEB"
"""The letters that a signature makes sharp, in its order; flats come from the end."""

_TONIC_SHARPS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_MODE_SHARPS = {
    "": 0, "maj": 0, "ion": 0, "mix": -1, "dor": -2, "m": -3, "min": -3, "aeo": -3, "phr": -4, "loc": -5, "lyd": 1,
}  # fmt: skip
# Pipers play G naturals and sharp F and C whatever a signature says: these letters are taken as the chanter's own.
_PIPERS_OWN = frozenset("cfgG")

_TONIC = re.compile(r"([A-G])([#b]?)(.*)")
_ALTERATION = re.compile(r"(\^{1,2}|_{1,2}|=)([A-Ga-g])")
_CLEF = re.compile(r"(?:treble|alto|tenor|bass|perc|none)[1-5]?(?:[+-]8)?|.*=.*")
_NO_CLEF = ("none", "")


@dataclass(frozen=True, slots=True)
class Key:
    """A key. `text` identifies it; `alterations` maps a capital letter to semitones.

    shift: semitones by which notes sound above what is written. odd: whether the field departs from the standard.
    """

    text: str
    alterations: Mapping[str, int] = field(compare=False)
    shift: int = 0
    odd: bool = field(default=False, compare=False)


@dataclass(frozen=True, slots=True)
class Pitch:
    """What a written note is on the chanter: its note, or None where the chanter has none.

    bent: whether only a piper would read it as that note. midi: the MIDI note as written, without the key's shift.
    """

    note: Note | None
    midi: int
    bent: bool = False


# K:HP writes no signature, K:Hp writes F and C sharp, G natural (ABC 2.1 section 3.1.14). The standard leaves open what
# a bare c or f sounds under HP; here both mean the chanter's own C and F, which are sharp.
_PIPE_ALTERATIONS = MappingProxyType({"F": 1, "C": 1})
PIPE_KEY = Key("HP", _PIPE_ALTERATIONS)


@remembered
def pitch(written: str, key: Key) -> Pitch:
    """The chanter's note for a written one: accidental, letter and octave marks, without a length (``^c``, ``d,``).

    Sounding pitch decides, so ``_d`` is the chanter's C. Bare c, f and g that a signature makes natural or sharp are
    taken as the chanter's notes all the same (`Pitch.bent`); an explicit accidental is believed.
    """
    bare = written.lstrip("^_=")
    sign = written[: len(written) - len(bare)]
    letter = bare[0]
    upper = letter.upper()
    octave = (letter.islower()) + bare.count("'") - bare.count(",")
    bend = _ACCIDENTALS[sign] if sign else key.alterations.get(upper, 0)
    midi = _MIDDLE_C + _NATURAL_SEMITONES[upper] + 12 * octave + bend
    note = _BY_MIDI.get(midi + key.shift)
    octaves, semitones = divmod(key.shift, 12)
    if note is not None or sign or semitones or bend < 0 or octave + octaves not in (0, 1):
        return Pitch(note, midi)
    placed = upper if octave + octaves == 0 else upper.lower()
    if placed in _PIPERS_OWN:
        return Pitch(_BY_LETTER.get(placed), midi, bent=True)
    return Pitch(None, midi)


def mode_sharps(mode: str) -> int | None:
    """How many sharps more than major a mode has, by the first three letters of its name; None for no mode."""
    return _MODE_SHARPS.get(mode)


@remembered
def read_key(text: str) -> Key | None:
    """What follows ``K:``; None where it names no key. Clefs and their settings are passed over."""
    words = text.split()
    if not words or (_CLEF.fullmatch(words[0].lower()) and words[0].lower() not in _NO_CLEF):
        return Key("none", {})
    head, rest = words[0], words[1:]
    if head[:2].upper() == "HP" and not head[2:3].isalnum():
        name = head[:2] if head[:2] == "Hp" else "HP"
        return Key(name, _PIPE_ALTERATIONS, odd=head != name or _strange(rest))
    if head.lower() == "none":
        return _altered("none", 0, rest, odd=False)
    match = _TONIC.fullmatch(head[0].upper() + head[1:])
    return _read_tonic(match, rest, odd=head[0].islower()) if match else None


def _read_tonic(match: re.Match[str], rest: list[str], *, odd: bool) -> Key | None:
    letter, sign, mode = match.groups()
    if not mode and rest and rest[0][:3].lower() in (*_MODE_SHARPS, "exp"):
        mode, rest = rest[0], rest[1:]
    short = mode[:3].lower()
    name = letter + sign + mode
    if short == "exp":
        return _altered(name, 0, rest, odd=odd)
    if short not in _MODE_SHARPS:
        return None
    sharps = _TONIC_SHARPS[letter] + {"#": 7, "b": -7, "": 0}[sign] + _MODE_SHARPS[short]
    return _altered(name, sharps, rest, odd=odd) if abs(sharps) <= 7 else None


def _altered(name: str, sharps: int, words: list[str], *, odd: bool) -> Key:
    alterations = dict.fromkeys(SHARPS_IN_ORDER[:sharps], 1) if sharps > 0 else {}
    if sharps < 0:
        alterations = dict.fromkeys(SHARPS_IN_ORDER[sharps:], -1)
    added = [pair for word in words for pair in _ALTERATION.findall(word)]
    alterations.update((letter.upper(), _ACCIDENTALS[sign]) for sign, letter in added)
    return Key(" ".join((name, *map("".join, added))), alterations, odd=odd or _strange(words))


def _strange(words: list[str]) -> bool:
    """Whether something other than clefs, their settings and accidentals follows the key."""
    return any(not _CLEF.fullmatch(word.lower()) and _ALTERATION.sub("", word) for word in words)
