"""XML as a tree of elements, each with its place in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from companion.score.formats.xml.events import walk_xml
from companion.score.formats.xml.refusal import refused
from companion.score.problems import ProblemKind

MOST_IN_TREE = 250_000
"""Elements that are kept at once: a band score of 48,000 notes comes to some 150,000."""


@dataclass(slots=True)
class Element:
    """An element: its name without a namespace, its attributes, its place, and what stands in it.

    text: all text in it before, between and after its children, without that of the children.
    """

    tag: str
    attributes: dict[str, str]
    line: int
    column: int
    children: list[Element] = field(default_factory=list)
    text: str = ""

    def get(self, name: str) -> str:
        """An attribute, "" where it is not there."""
        return self.attributes.get(name, "")

    @property
    def id(self) -> str:
        """Its own name within the file, "" for none."""
        return self.attributes.get("id", "")

    def first(self, *tags: str) -> Element | None:
        """The first child of one of these names."""
        return next((child for child in self.children if child.tag in tags), None)

    def inside(self, *tags: str) -> Iterator[Element]:
        """Yield itself and all elements within it of one of these names, in the order of the file."""
        waiting = [self]
        while waiting:
            element = waiting.pop()
            if element.tag in tags:
                yield element
            waiting += reversed(element.children)

    def words(self) -> str:
        """All text within it, with single blanks between."""
        pieces: list[str] = []
        waiting = [self]
        while waiting:
            element = waiting.pop()
            pieces.append(element.text)
            waiting += reversed(element.children)
        return " ".join(" ".join(pieces).split())


def read_tree(text: str, source: str) -> Element:
    """The outermost element of a text of XML. Raises UserError where it cannot be read or holds too much."""
    tree = _Tree(source)
    walk_xml(text, source, tree)
    return tree.root


class _Tree:
    def __init__(self, source: str) -> None:
        self.root = Element("", {}, 1, 1)
        self._source = source
        self._open: list[Element] = []
        self._count = 0

    def begin(self, tag: str, attributes: dict[str, str], line: int, column: int) -> None:
        self._count += 1
        if self._count > MOST_IN_TREE:
            what = f"this score holds more than {MOST_IN_TREE:,} elements, more than any tune"
            raise refused(self._source, ProblemKind.BOOK_TOO_LARGE, what, "save the tune alone", line, column)
        element = Element(tag, attributes, line, column)
        if self._open:
            self._open[-1].children.append(element)
        else:
            self.root = element
        self._open.append(element)

    def text(self, text: str) -> None:
        if self._open and not text.isspace():
            inner = self._open[-1]
            inner.text = f"{inner.text} {text}" if inner.text else text

    def end(self, tag: str) -> None:
        self._open.pop()
