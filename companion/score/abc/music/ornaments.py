"""Collects the chord names, annotations and decorations that stand before a note."""

from __future__ import annotations

from typing import NamedTuple

from companion.files.lines import one_line
from companion.score.abc.text.decorations import PHRASE_ENDS
from companion.score.abc.text.strings import plain_text

_ANNOTATION_MARKS = tuple("^_<>@")


class Adornment(NamedTuple):
    """The chord names, annotations and decorations of a note, in the order of the fields of `MelodyNote`."""

    chord: str = ""
    annotations: tuple[str, ...] = ()
    decorations: tuple[str, ...] = ()


PLAIN = Adornment()


class Ornaments:
    """Holds what was written before a note until the note comes; `waiting` tells whether there is any."""

    def __init__(self) -> None:
        self.waiting = False
        self._chord = ""
        self._annotations: list[str] = []
        self._decorations: list[str] = []

    def quote(self, text: str) -> None:
        """Add a quoted text: a chord name or, with a sign for its place in front, an annotation (ABC 2.1, 4.19)."""
        if text.startswith(_ANNOTATION_MARKS):
            self._annotations.append(plain_text(text))
        else:
            self._chord = plain_text(text)
        self.waiting = True

    def decorate(self, name: str) -> bool:
        """Add a decoration, known or not; returns True for a mark that ends a phrase, which belongs to no note."""
        if name in PHRASE_ENDS:
            return True
        self._decorations.append(one_line(name))
        self.waiting = True
        return False

    def adornment(self) -> Adornment:
        """Hand out all that was collected, for the note that has come, and begin anew."""
        waiting = Adornment(self._chord, tuple(self._annotations), tuple(self._decorations))
        self._chord = ""
        self._annotations, self._decorations = [], []
        self.waiting = False
        return waiting
