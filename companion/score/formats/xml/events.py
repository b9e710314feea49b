"""Walks through XML element by element, and refuses what no score has: entities, declarations, endless nesting.

A plain document type, as most MusicXML files have, names a file that is never fetched.
"""

from __future__ import annotations

from typing import NoReturn, Protocol
from xml.parsers import expat

from companion.score.formats.xml.refusal import SAVE_AGAIN, refused
from companion.score.problems import ProblemKind

DEEPEST = 100
"""How deep elements may nest; scores come to some thirty."""

MOST_ELEMENTS = 400_000
"""Elements that are looked at in one file: a score of a hundred bars for a full band comes to a third of it."""

_NAMESPACE = " "
_BLOCK = 1 << 16


class Elements(Protocol):
    """Is told of each element as it begins and ends, with its attributes by their names without namespaces."""

    def begin(self, tag: str, attributes: dict[str, str], line: int, column: int) -> object:
        """An element begins; line and column count from 1."""

    def text(self, text: str) -> object:
        """Text stands in the innermost element."""

    def end(self, tag: str) -> object:
        """The innermost element ends."""


def walk_xml(text: str, source: str, elements: Elements) -> None:
    """Tell `elements` of all that a text of XML holds.

    Raises UserError where it is not well formed, defines entities, or holds more than MOST_ELEMENTS or nests deeper
    than DEEPEST.
    """
    _Walk(source, elements).through(text)


class _Walk:
    def __init__(self, source: str, elements: Elements) -> None:
        self._source = source
        self._elements = elements
        self._depth = 0
        self._count = 0
        parser = expat.ParserCreate("utf-8", _NAMESPACE)
        parser.buffer_text = True
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        parser.StartElementHandler = self._begin
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = elements.text
        parser.StartDoctypeDeclHandler = self._document_type
        parser.EntityDeclHandler = self._entity
        parser.ExternalEntityRefHandler = self._entity
        self._parser = parser

    def through(self, text: str) -> None:
        data = text.encode("utf-8", errors="replace")
        try:
            for at in range(0, len(data), _BLOCK):
                self._parser.Parse(data[at : at + _BLOCK], False)
            self._parser.Parse(b"", True)
        except expat.ExpatError as error:
            self._refuse_broken(error)
        finally:
            # The parser's handlers are bound to this walk, which holds the parser: a circle that would outlive it.
            self._parser.StartElementHandler = self._parser.EndElementHandler = None
            self._parser.CharacterDataHandler = self._parser.StartDoctypeDeclHandler = None
            self._parser.EntityDeclHandler = self._parser.ExternalEntityRefHandler = None

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._count += 1
        if self._depth > DEEPEST:
            self._refuse(f"this XML nests deeper than {DEEPEST} elements, which no score does")
        if self._count > MOST_ELEMENTS:
            self._refuse(f"this XML holds more than {MOST_ELEMENTS:,} elements, more than any tune")
        named = {_local(name): value for name, value in attributes.items()}
        line, column = self._parser.CurrentLineNumber, self._parser.CurrentColumnNumber + 1
        self._elements.begin(_local(tag), named, line, column)

    def _end(self, tag: str) -> None:
        self._depth -= 1
        self._elements.end(_local(tag))

    def _document_type(self, name: str, system: str | None, public: str | None, has_subset: int) -> None:
        if has_subset:
            self._refuse("this XML has a document type of its own making, which is not followed")

    def _entity(self, *told: object) -> NoReturn:
        self._refuse("this XML defines entities, which are not followed")

    def _refuse(self, what: str) -> NoReturn:
        line, column = self._parser.CurrentLineNumber, self._parser.CurrentColumnNumber + 1
        remedy = "save the tune alone, as plain MusicXML or MEI"
        raise refused(self._source, ProblemKind.XML_UNSAFE, what, remedy, line, column)

    def _refuse_broken(self, error: expat.ExpatError) -> NoReturn:
        why = expat.ErrorString(error.code)
        what = f"the XML is broken here, or breaks off ({why})"
        raise refused(self._source, ProblemKind.XML_BROKEN, what, SAVE_AGAIN, error.lineno, error.offset + 1) from None


def _local(name: str) -> str:
    return name.rpartition(_NAMESPACE)[2]
