"""Tells which of the chanter's notes a written one is in MEI: its letter, octave and accidentals."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType

from companion.score.abc.header.keys import Key, pitch
from companion.score.formats.mei.signatures import NO_SIGNATURE
from companion.score.formats.xml.tree import Element
from fingering.notes import Note

# data.ACCIDENTAL.WRITTEN and data.ACCIDENTAL.GESTURAL as ABC writes them, which one function reads for both formats.
_SIGNS = MappingProxyType(
    {"s": "^", "f": "_", "n": "=", "ss": "^^", "x": "^^", "ff": "__", "ns": "^", "nf": "_", "xs": "^^", "sx": "^^"}
)
_WORDS = MappingProxyType({"^": " sharp", "_": " flat", "=": " natural", "^^": " double sharp", "__": " double flat"})
_ABOVE_MIDDLE_C = 4


@dataclass(frozen=True, slots=True)
class WrittenPitch:
    """A written note: the chanter's note, or None where it has none; its MIDI note; its name in words ("B flat 4").

    bent: whether only a piper would read it as that note; letter: its capital letter.
    """

    note: Note | None
    midi: int
    words: str
    letter: str
    bent: bool = False


class Accidentals:
    """Reads pitches in a key. An accidental holds to the end of the bar, in every octave, as in ABC."""

    def __init__(self) -> None:
        self._in_bar: dict[str, str] = {}

    def bar_ends(self) -> None:
        """From here on only the signature holds."""
        self._in_bar.clear()

    def read(self, note: Element, key: Key) -> WrittenPitch | None:
        """The pitch of a `note` element in a key; None where it tells none, or an accidental that is not read.

        What sounds is believed, `accid.ges` before the signature; but a bare C, F or G that is natural by no sign of
        its own is taken as a piper reads it.
        """
        letter, octave = note.get("pname").lower(), note.get("oct")
        if len(letter) != 1 or letter not in "abcdefg" or len(octave) != 1 or not octave.isdecimal():
            return None
        written, sounding = _accidental(note, "accid"), _accidental(note, "accid.ges")
        if (written not in _SIGNS and written) or (sounding not in _SIGNS and sounding):
            return None
        if written:
            self._in_bar[letter] = _SIGNS[written]
        sign = _SIGNS[sounding] if sounding not in ("", "n") else self._in_bar.get(letter, "")
        if sounding == "n" and sign != "=":
            sign, key = "", replace(NO_SIGNATURE, shift=key.shift)
        found = pitch(f"{sign}{_abc_letter(letter, int(octave))}", key)
        alteration = sign or {1: "^", -1: "_"}.get(key.alterations.get(letter.upper(), 0), "")
        words = f"{letter.upper()}{_WORDS.get(alteration, '')} {octave}"
        return WrittenPitch(found.note, found.midi, words, letter.upper(), found.bent)


def _accidental(note: Element, name: str) -> str:
    """An accidental of a note: its attribute, or that of an `accid` element in it."""
    return note.get(name) or next((each.get(name) for each in _accid_elements(note) if each.get(name)), "")


def _accid_elements(note: Element) -> Iterator[Element]:
    yield from (child for child in note.children if child.tag == "accid")


def _abc_letter(letter: str, octave: int) -> str:
    """A letter and an octave of scientific pitch notation as ABC writes them (ABC 2.1 sections 4.1 and 4.6)."""
    above = octave - _ABOVE_MIDDLE_C
    return letter + "'" * (above - 1) if above > 0 else letter.upper() + "," * -above
