"""Chord names, annotations and decorations that wait for their note."""

from __future__ import annotations

from companion.score.abc.decorations import JUMPS, PHRASE_ENDS
from companion.score.abc.problems import Problems
from companion.score.abc.text import plain_text
from companion.score.abc.written import WrittenNote
from companion.score.place import Place

_ANNOTATION_MARKS = tuple("^_<>@")


class Ornaments:
    """What was written before a note and belongs to it; `waiting` is whether there is any."""

    def __init__(self, problems: Problems) -> None:
        self.waiting = False
        self._problems = problems
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

    def decorate(self, name: str, place: Place) -> bool:
        """A decoration, known or not; True for a mark that ends a phrase, which belongs to no note."""
        if name in PHRASE_ENDS:
            return True
        if name in JUMPS and self._problems.first_time(name):
            self._problems.warn(place, f"!{name}! is not followed", "write the order of parts with P:")
        self._decorations.append(name)
        self.waiting = True
        return False

    def adorn(self, note: WrittenNote) -> None:
        """Give all that waits to `note`."""
        note.chord = self._chord
        note.annotations = tuple(self._annotations)
        note.decorations = tuple(self._decorations)
        self._chord = ""
        self._annotations, self._decorations = [], []
        self.waiting = False
