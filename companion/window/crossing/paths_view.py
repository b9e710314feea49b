"""Draws the orders of a crossing as paths: columns count the fingers that have moved, rows are the notes that sound."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from companion.window.core.marks import Anchor, Dot, Label, Mark, Measure, Rect, Role, Rule, Style, Wash
from companion.window.core.wording import fitted
from fingering.chart import sounded
from fingering.crossings.analysis import Crossing
from fingering.crossings.passing import PassingKind
from fingering.crossings.telling import noise_phrases
from fingering.crossings.transition import Transition
from fingering.holes import HoleState
from fingering.notes import Note

ROW_LINES = 3.4  # rows stand at most that many lines apart
WORDS_LINES = 4.05  # the room that the words below the rows take
LEAST_ROW_LINES = 0.66  # and words at least that many
FEW_ORDERS = 0.25  # up to this share, few orders are clean
TAUGHT_PX, PLAYED_PX, PLAYED_LINES = 3.0, 8.0, 0.22  # the order to teach lies as a core on the one that is played


@dataclass(frozen=True, slots=True, order=True)
class Node:
    """A point of the plot: all states in which equally many fingers have moved and the same note sounds."""

    moved: int
    note: Note


@dataclass(frozen=True, slots=True)
class Paths:
    """The orders of a crossing as a graph: its nodes, its edges (one finger each), and the order to teach."""

    nodes: tuple[Node, ...]
    foreign: frozenset[Node]
    edges: tuple[tuple[Node, Node], ...]
    taught: tuple[Node, ...]

    @property
    def ends(self) -> tuple[Node, Node]:
        """The nodes of the two notes."""
        return self.nodes[0], self.nodes[-1]

    @property
    def rows(self) -> tuple[Note, ...]:
        """The notes that sound in it, high to low."""
        return tuple(sorted({node.note for node in self.nodes}, reverse=True))


def node_of(transition: Transition, state: HoleState) -> Node:
    """The node of a state of a crossing."""
    return Node(len(transition.start.moves_to(state)), sounded(state))


def paths_of(crossing: Crossing) -> Paths:
    """The graph of a crossing."""
    transition = crossing.transition
    lattice = transition.lattice()
    places = [node_of(transition, state) for state in lattice]
    bits = [1 << i for i in range(len(transition.movers))]
    edges = {(places[moved], places[moved | bit]) for moved in range(len(lattice)) for bit in bits if not moved & bit}
    foreign = {node for node, each in zip(places, crossing.passings, strict=True) if each.kind is PassingKind.FOREIGN}
    taught = visited(transition, transition.path(crossing.lesson.order))
    return Paths(tuple(sorted(set(places))), frozenset(foreign), tuple(sorted(edges)), taught)


def visited(transition: Transition, states: Iterable[HoleState]) -> tuple[Node, ...]:
    """The nodes that a sequence of states goes through; fingers that move together leap over the nodes between."""
    return tuple(node_of(transition, state) for state in states)


class PathsPanel:
    """The plot of one crossing's paths within `area`, with its legend above it and its words below it."""

    def __init__(self, crossing: Crossing, area: Rect, measure: Measure) -> None:
        self.paths = paths_of(crossing)
        self._crossing = crossing
        self._area = area
        self._measure = measure
        self._line = measure.height(Style.TEXT)
        heads = [*(note.label for note in self.paths.rows), _AXIS]
        self._left = area.x + max(measure.width(text, Style.STRONG) for text in heads) + self._line * 1.1
        self._right = area.right - self._line * 0.8
        self._radius = self._line * 0.26
        self._words_x = area.x + self._line * 0.4

    def at(self, node: Node) -> tuple[float, float]:
        """The place of a node, (x, y) in pixels."""
        return self._x_of(node.moved), self._y_of(node.note)

    def _x_of(self, moved: int) -> float:
        return self._left + moved / len(self._crossing.transition.movers) * (self._right - self._left)

    def _y_of(self, note: Note) -> float:
        """The height of a note's row. Few rows stand together in the middle."""
        rows = self.paths.rows
        gap = min(self._area.height / max(1, len(rows) - 1), self._line * ROW_LINES)
        return self._area.y + (self._area.height - gap * (len(rows) - 1)) / 2 + rows.index(note) * gap

    @property
    def _played_width(self) -> float:
        return max(PLAYED_PX, self._line * PLAYED_LINES)

    def marks(self, played: Sequence[Node]) -> list[Mark]:
        """The marks of the panel, with the path that is played now."""
        role = Role.FAULT if self.paths.foreign & set(played) else Role.PLAYED
        return [
            *self._bands(),
            *self._lines(self.paths.edges, Role.PAST, 1.0),
            *self._lines(pairwise(played), role, self._played_width),
            *self._lines(pairwise(self.paths.taught), Role.GUIDE, TAUGHT_PX),
            *(mark for node in self.paths.nodes for mark in self._node(node)),
            *self._heads(played),
            *self._legend(role),
            *self._words(),
        ]

    def here(self, node: Node) -> Dot:
        """The mark of the node that sounds now."""
        return Dot(*self.at(node), self._radius * 1.75, Role.INK)

    def _bands(self) -> Iterator[Mark]:
        """Yield the bands behind the rows of the two notes; a path that stays in them sounds no foreign note."""
        height = self._line * 1.3
        for node in self.paths.ends:
            y = self._y_of(node.note)
            yield Wash(Rect(self._area.x, y - height / 2, self._area.width, height), Role.WASH, 6.0)

    def _lines(self, edges: Iterable[tuple[Node, Node]], role: Role, width: float) -> Iterator[Mark]:
        for start, end in edges:
            leaps = end.moved - start.moved > 1
            for x0, y0, x1, y1 in self._dashes(start, end) if leaps else [(*self.at(start), *self.at(end))]:
                yield Rule(x0, y0, x1, y1, role, width)

    def _dashes(self, start: Node, end: Node) -> Iterator[tuple[float, float, float, float]]:
        """Yield the dashes of a leap of several fingers together, which sounds none of the notes in between."""
        (x0, y0), (x1, y1) = self.at(start), self.at(end)
        count = max(2, round(math.hypot(x1 - x0, y1 - y0) / (self._line * 0.55)))
        for rank in range(count):
            a, b = (rank + 0.18) / count, (rank + 0.82) / count
            yield x0 + a * (x1 - x0), y0 + a * (y1 - y0), x0 + b * (x1 - x0), y0 + b * (y1 - y0)

    def _node(self, node: Node) -> Iterator[Mark]:
        """Yield the mark of a node: a ring for a foreign note, a disc for any other."""
        x, y = self.at(node)
        if node in self.paths.foreign:
            yield Dot(x, y, self._radius * 1.5, Role.GROUND)
            yield Dot(x, y, self._radius * 1.5, Role.FAULT, filled=False)
        else:
            yield Dot(x, y, self._radius, Role.INK)

    def _heads(self, played: Sequence[Node]) -> Iterator[Mark]:
        """Yield each row's note and each column's count; where rows crowd, those that matter most keep their words."""
        ends = {node.note for node in self.paths.ends}
        foreign = {node.note for node in self.paths.foreign}
        strong = ends | (foreign & {node.note for node in played})
        x = self._words_x
        taken: list[float] = []
        for note in sorted(self.paths.rows, key=lambda each: (each not in strong, -each)):
            y = self._y_of(note)
            if all(abs(y - other) >= self._line * LEAST_ROW_LINES for other in taken):
                taken.append(y)
                style = Style.STRONG if note in strong else Style.TEXT
                yield Label(x, y, note.label, style, Role.FAULT if note in foreign else Role.INK)
        yield from self._axis(x)

    def _axis(self, x: float) -> Iterator[Mark]:
        y = self._area.bottom + self._line * 0.95
        yield Label(x, y, _AXIS, Style.TEXT, Role.QUIET)
        for moved in range(len(self._crossing.transition.movers) + 1):
            yield Label(self._x_of(moved), y, str(moved), Style.TEXT, Role.QUIET, Anchor.CENTRE)

    def _legend(self, played: Role) -> Iterator[Mark]:
        """What the strokes and the ring mean, as far as there is room."""
        y = self._area.y - self._line * 1.15
        x, gap, sample = self._words_x, self._line * 0.8, self._line * 1.3
        meanings = (("to learn", Role.GUIDE, TAUGHT_PX), ("this time", played, self._played_width))
        for words, role, width in (*meanings, (_RING, None, 0.0), (_RING_SHORT, None, 0.0)):
            left = x + sample + self._line * 0.35
            right = left + self._measure.width(words, Style.TEXT)
            if right > self._area.right:
                continue
            if role is None:
                yield Dot(x + sample / 2, y, self._radius * 1.5, Role.FAULT, filled=False)
            else:
                yield Rule(x, y, x + sample, y, role, width)
            yield Label(left, y, words, Style.TEXT, Role.QUIET)
            if role is None:
                return
            x = right + gap

    def _words(self) -> Iterator[Mark]:
        """Which crossing noise is likeliest, how many orders are clean, and what that is worth."""
        x, y = self._words_x, self._area.bottom + self._line * 1.9
        room = self._area.right - x
        candidates = _summaries(self._crossing)
        fits = (lines for lines in candidates if all(self._measure.width(text, Style.STRONG) <= room for text in lines))
        for rank, text in enumerate(next(fits, candidates[-1])):
            style, role = (Style.STRONG, Role.INK) if rank == 0 else (Style.TEXT, Role.QUIET)
            words = fitted(text, style, room, self._measure)
            yield Label(x, y + rank * self._line * 0.86, words, style, role)


_AXIS = "fingers"
_COMPUTED = "computed, not measured"
_RING, _RING_SHORT = "crossing noise", "noise"


def _summaries(crossing: Crossing) -> tuple[tuple[str, str, str], ...]:
    """Three lines about a crossing, each in wordings from the fullest to the shortest."""
    phrases = noise_phrases(crossing.transition, crossing.hardness.noise)
    if crossing.hardness.noise:
        phrases = (f"usually {phrases[0]}", *phrases)
    clean = _clean_words(crossing)
    return tuple((phrase, clean, _COMPUTED) for phrase in phrases)


def _clean_words(crossing: Crossing) -> str:
    """How many orders of the fingers sound no crossing noise."""
    share = crossing.clean_order_count / crossing.order_count
    if share == 1.0:
        return "any order is clean"
    many = "most" if share > 0.5 else "half" if share == 0.5 else "some" if share > FEW_ORDERS else "few"
    return f"{many} of the orders are clean"
