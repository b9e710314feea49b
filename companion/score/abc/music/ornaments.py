"""Chord names, annotations and decorations that wait for their note."""

from __future__ import annotations

from typing import NamedTuple

from companion.files.lines import one_line
from companion.score.abc.text.decorations import PHRASE_ENDS
from companion.score.abc.text.strings import plain_text

_ANNOTATION_MARKS = tuple("^_<>@")


class Adornment(NamedTuple):
    """What stands by a note besides its pitch and length, in the order of `MelodyNote`."""

    chord: str = ""
    annotations: tuple[str, ...] = ()
    decorations: tuple[str, ...] = ()


PLAIN = Adornment()


class Ornaments:
    """What was written before a note and belongs to it; `waiting` is whether there is any."""

    def __init__(self) -> None:
        self.waiting = False
        self._chord = ""
        self._annotations: list[str] = []
        self._decorations: list[str] = []

    def quote(self, text: str) -> None:
        """A chord name or, with a mark of its place in front, an annotation (ABC 2.1 section 4.19)."""
        if text.startswith(_ANNOTATION_MARKS):
            self._annotations.append(plain_text(text))
        else:
            self._chord = plain_text(text)
        self.waiting = True

    def decorate(self, name: str) -> bool:
        """A decoration, known or not; True for a mark that ends a phrase, which belongs to no note."""
        if name in PHRASE_ENDS:
            return True
        self._decorations.append(one_line(name))
        self.waiting = True
        return False

    def adornment(self) -> Adornment:
        """Hand out all that waits, for the note that has come."""
        waiting = Adornment(self._chord, tuple(self._annotations), tuple(self._decorations))
        self._chord = ""
        self._annotations, self._decorations = [], []
        self.waiting = False
        return waiting
