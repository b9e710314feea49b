"""From the text of a MusicXML document to a tune."""

from __future__ import annotations

from collections.abc import Callable

from companion.score.engrave.apart import mei_made_apart
from companion.score.formats.mei.reader import KnownBeside, read_mei_tree
from companion.score.formats.musicxml.prepare import PreparedScore, prepare
from companion.score.formats.xml.refusal import refused
from companion.score.formats.xml.tree import Element, read_tree
from companion.score.model import Tunebook
from companion.score.place import Place
from companion.score.problems import ProblemKind, RefusedScore
from fingering.errors import UserError


def read_musicxml_text(
    text: str, source: str, transpose: int = 0, to_mei: Callable[[str], str] = mei_made_apart
) -> Tunebook:
    """The tune of a MusicXML document, `transpose` semitones higher than written, as a book of one.

    to_mei: what turns MusicXML into MEI. Raises UserError where the text is no score in MusicXML, is broken, or holds
    more than any tune.
    """
    prepared = prepare(text, source)
    try:
        root = read_tree(to_mei(prepared.text), source)
    except RefusedScore:
        raise
    except UserError:
        what = "the music in this file cannot be made out"
        raise refused(source, ProblemKind.NO_SCORE, what) from None
    beside = KnownBeside(prepared.passes, prepared.rests, prepared.heading, prepared.key, prepared.fields)
    return read_mei_tree(root, source, transpose, _Places(prepared), beside)


class _Places:
    """Finds where an element of the MEI stands in the MusicXML: by its id or that of a note in it, else near the last
    one that was found.
    """

    def __init__(self, prepared: PreparedScore) -> None:
        self._places = prepared.places
        self._last = prepared.begins

    def __call__(self, element: Element) -> Place:
        for each in (element, *element.children):
            place = self._places.get(each.id)
            if place is not None:
                self._last = place
                return place
        return self._last
