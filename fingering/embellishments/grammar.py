"""The grammar that the catalogue's rows are written in: patterns over notes, and where an embellishment may come from.

A pattern holds one character a gracenote: an ABC letter stands for itself, the marks of `PatternMark` for a note that
depends on the melody note. So ``g=+`` is a doubling on any note: high G, the note itself, and the note that marks it
again.
"""

from __future__ import annotations

import enum

from fingering.notes import Note


class PatternMark(enum.Enum):
    """A sign in a pattern that stands for a note which depends on the melody note."""

    NOTE = "="  # the melody note itself
    LIFT = "+"  # the gracenote that marks it again in a doubling
    SHAKE = "^"  # the gracenote in the middle of a shake
    STRIKE = "-"  # what a strike on it sounds
    LIGHT_STRIKE = "~"  # the same with one finger on D, which sounds C

    def filled(self, onto: Note) -> Note:
        """The note that this sign stands for in an embellishment onto `onto`. Raises KeyError where there is none."""
        return _FILLED[self][onto]


def _notes(text: str) -> dict[Note, Note]:
    pairs = zip(Note, text, strict=True)
    return {onto: Note.from_letter(letter) for onto, letter in pairs if letter != "."}


# One column a melody note, low G to high A. The letters agree with the gracenote sequences of Debian lilypond-data,
# bagpipe.ly; a strike on high A, where the thumb closes, is common practice, no source.
_FILLED = {
    PatternMark.NOTE: _notes("GABcdefga"),
    PatternMark.LIFT: _notes("ddddefg.."),
    PatternMark.SHAKE: _notes(".eeeefga."),
    PatternMark.STRIKE: _notes(".GGGGAefg"),
    PatternMark.LIGHT_STRIKE: _notes("....c...."),
}
_MARKS = {mark.value: mark for mark in PatternMark}


def expand(pattern: str, onto: Note) -> tuple[Note, ...]:
    """The gracenotes of a pattern onto `onto`. Raises KeyError where the pattern has no meaning on that note."""
    return tuple(_MARKS[char].filled(onto) if char in _MARKS else Note.from_letter(char) for char in pattern)


class Approach(enum.Enum):
    """Which notes an embellishment may be played from. (Whether its first finger is free there is `Entry.suits`.)"""

    ANY = enum.auto()
    ANOTHER_NOTE = enum.auto()  # it begins with the melody note, which must not be sounding already
    SAME_NOTE = enum.auto()  # it parts a note from itself; elsewhere the same letters mean something else
    LOW_G = enum.auto()
    B = enum.auto()
    C = enum.auto()
    D = enum.auto()

    @property
    def only_from(self) -> Note | None:
        """The one note before it that this form is meant for, None where it may follow several."""
        return _ONLY_FROM.get(self)

    @property
    def is_usual(self) -> bool:
        """Whether this form is assumed where the note before is not known."""
        return self.only_from is None and self is not Approach.SAME_NOTE

    def allows(self, before: Note, onto: Note) -> bool:
        """Whether an embellishment onto `onto` can be played like this after the note `before`."""
        if self.only_from is not None:
            return before is self.only_from
        return self is Approach.ANY or (before is onto) == (self is Approach.SAME_NOTE)


_ONLY_FROM = {Approach.LOW_G: Note.LOW_G, Approach.B: Note.B, Approach.C: Note.C, Approach.D: Note.D}
