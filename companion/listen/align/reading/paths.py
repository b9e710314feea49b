"""One reading of a take as a path through the tune: the note heard last, linked to the one before it."""

from __future__ import annotations

from dataclasses import dataclass

from companion.listen.align.reading.steps import Reading, ReadStep
from companion.listen.model.segments import Segment


@dataclass(slots=True, eq=False)  # not frozen, for many are made, and a settled one is cut off from what was before it
class PathNode:
    """One heard note at a place of the tune: that place's own, or an extra one after it (`is_extra`).

    segment: None before the first note. cost: of the path so far. clock: when its last melody note was matched, in s.
    origin: the node of the note before. ran_on_from: the node from which this same note, held, ran on to this place;
    None where it began here.
    """

    segment: Segment | None
    place: int
    is_extra: bool
    cost: float
    clock: float
    origin: PathNode | None
    ran_on_from: PathNode | None = None

    @property
    def root(self) -> PathNode:
        """The node in which the note began."""
        node = self
        while node.ran_on_from is not None:
            node = node.ran_on_from
        return node

    @property
    def token(self) -> int:
        """The token at its place, -1 before the first."""
        return self.place - 1

    def passed(self) -> list[int]:
        """Return the tokens that the held note stood for up to here, the first first."""
        tokens, node = [self.token], self
        while node.ran_on_from is not None:
            node = node.ran_on_from
            tokens.append(node.token)
        return tokens[::-1]


@dataclass(frozen=True, slots=True)
class Foothold:
    """The last settled note, from which every reading goes on: the node in which it began, then what it may yet turn
    out to have run on to, in order of place."""

    kin: tuple[PathNode, ...]

    @property
    def settled(self) -> PathNode:
        """The node in which the note began."""
        return self.kin[0]


def before_the_first() -> Foothold:
    """Return where a take stands before anything is heard: before the first token."""
    return Foothold((PathNode(None, 0, False, 0.0, 0.0, None),))


def steps_along(node: PathNode, count: int) -> list[ReadStep]:
    """Return the last `count` steps of a path, in order; the note before them is the last settled one."""
    steps: list[ReadStep] = []
    for left in reversed(range(count)):
        before = node.origin
        assert before is not None
        if left:
            steps.append(_step(node, before.token, node.cost - before.cost))
        else:
            steps.append(_step(node, before.token, node.cost - before.root.cost, tuple(before.passed()[1:])))
        node = before
    return steps[::-1]


def _step(node: PathNode, after: int, cost: float, ran_on: tuple[int, ...] = ()) -> ReadStep:
    assert node.segment is not None
    if node.is_extra:
        return ReadStep(node.segment, Reading.EXTRA, (), after, cost, ran_on)
    tokens = tuple(node.passed())
    reading = Reading.RESUME if tokens[0] == after else Reading.MATCH
    return ReadStep(node.segment, reading, tokens, after, cost, ran_on)
