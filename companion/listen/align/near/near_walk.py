"""The walk while all goes as asked: a beam search, for then few readings are open, and nobody begins again.

The best reading costs at most AMISS more than the last settled note here; beyond that all is read again in a wide
window. So a reading that costs much more can neither become the best nor keep anything from being settled, and is
dropped: see `costs.BEAM`.
"""

from __future__ import annotations

from operator import attrgetter

from companion.listen.align.cost import costs
from companion.listen.align.cost.hearing import (
    SHORTEST_HELD_S,
    extra_share,
    held_cost,
    held_onto_share,
    is_gracenote_short,
    long_share,
    may_go_on,
    off_time_per_s,
    resume_cost,
    shortening,
    stretch,
)
from companion.listen.align.near.near_tables import PARTED, NearTables
from companion.listen.align.reading.paths import Foothold, PathNode, steps_along
from companion.listen.align.reading.search import Leading, Search
from companion.listen.align.reading.steps import ReadStep
from companion.listen.model.segments import SETTLED_S, Segment

Nodes = list[PathNode]

Ways = dict[int, tuple[float, PathNode, float]]
"""The cheapest way to each place: its cost, the node that it comes from, and the clock there."""

_cost_of = attrgetter("cost")


class NearWalk:
    """The readings that are open from the last settled note on; nodes are sorted: own notes, then extra ones, by
    place."""

    def __init__(self, tables: NearTables, foothold: Foothold) -> None:
        self._tables = tables
        self._columns: list[Nodes] = [list(foothold.kin)]
        self._settled = foothold.settled
        self._front: Nodes = self._columns[0]
        self._best = self._settled
        self._ran_on = True

    @property
    def last(self) -> int:
        """How many notes are not settled."""
        return len(self._columns) - 1

    @property
    def foothold(self) -> Foothold:
        """The last settled note."""
        return Foothold(tuple(node for node in self._columns[0] if _began_in(node, self._settled)))

    def unsettled(self) -> list[Segment]:
        """Return the notes that are not settled."""
        return [node.segment for node, *_ in self._columns[1:] if node.segment is not None]

    def leading(self) -> Leading:
        """Return the cheapest reading."""
        best = self._best
        return Leading(best.place, best.is_extra, best.cost - self._settled.cost)

    def read(self, segment: Segment, search: Search) -> None:
        """Read one more heard note."""
        most = self._settled.cost + costs.BEAM
        front = self._front
        if self._ran_on:
            front = [_over(self._tables, node, search.ratio) for node in front]
        leave, extra = _leaving(front)
        ways = _walked(self._tables, leave, segment, search, most)
        _go_on(self._tables, ways, segment, leave=leave, extra=extra)
        own = _heard_as_own(self._tables, ways, segment, search.ratio, most)
        self._ran_on = segment.lasted_s() > SHORTEST_HELD_S and _run_together(
            self._tables, own, search.ratio or 1.0, most
        )
        self._front = [own[place] for place in sorted(own)] + _heard_as_extra(self._tables, leave, segment, most)
        self._best = min(self._front, key=_cost_of)
        self._columns.append(self._front)

    def settle(self, margin: float, longest_doubt: int = costs.LONGEST_DOUBT) -> list[ReadStep]:
        """Settle the notes on which all readings agree that cost at most `margin` more than the best; the oldest once
        so many are not."""
        best, most = self._best, self._best.cost + margin
        agreed = _agreed([node for node in self._front if node.cost <= most], self.last)
        if agreed is None:
            if self.last < longest_doubt:
                return []
            agreed = 1, _back(best, self.last - 1).root
        depth, settled = agreed
        steps = steps_along(settled, depth)
        self._front = _going_on_from(self._front, settled, self.last - depth)
        del self._columns[:depth]
        self._columns[-1] = self._front
        self._settled = settled
        for node in self._columns[0]:
            node.origin = None
        return steps

    def finish(self) -> list[ReadStep]:
        """Return the steps of the cheapest reading of what is not settled."""
        if not self.last:
            return []
        tables, held = self._tables, _held(self._tables, self._front)
        best = min(
            self._front,
            key=lambda node: node.cost + (tables.end[node.place] + held * (not tables.is_melody[node.place])),
        )
        return steps_along(best, self.last)


def _held(tables: NearTables, front: Nodes) -> float:
    """Return what the length of the note heard last adds to leaving out the melody note of its gracenote."""
    segment = front[0].segment
    return 0.0 if segment is None else held_cost(segment, tables.slowed)


def _over(tables: NearTables, node: PathNode, ratio: float | None) -> PathNode:
    """Return a node now that its note is over: it cannot stand for an equal note for which it ended too soon."""
    if node.ran_on_from is None or ratio is None or node.segment is None or node.segment.end_s is None:
        return node
    if node.segment.end_s >= node.clock + costs.LEAST_HELD * ratio * tables.length_s[node.place]:
        return node
    cost = node.cost + tables.ended_before[node.place]
    return PathNode(node.segment, node.place, False, cost, node.clock, node.origin, node.ran_on_from)


def _leaving(front: Nodes) -> tuple[Nodes, Nodes]:
    """Return the cheaper node of each place, in order of place, and the extra notes."""
    cheapest = {node.place: node for node in front if not node.is_extra}
    extra = [node for node in front if node.is_extra]
    for node in extra:
        own = cheapest.get(node.place)
        if own is None or node.cost < own.cost:
            cheapest[node.place] = node
    return [cheapest[place] for place in sorted(cheapest)], extra


def _walked(tables: NearTables, leave: Nodes, segment: Segment, search: Search, most: float) -> Ways:
    """Return the ways onward, some tokens left out or none; off its time a note is dearer."""
    ways: Ways = {}
    now_s, ratio = segment.onset_s, search.ratio or 0.0
    mismatch, held, off_most = tables.mismatch[segment.note], _held(tables, leave), costs.OFF_TIME_MOST
    held_onto = held * held_onto_share(segment) if held else 0.0
    for node in leave:
        here, passed_s = node.cost, now_s - node.clock
        timed = ratio and node.clock >= search.unclocked_until_s
        for place, skip, asked_s, from_gracenote in tables.ways(node.place):
            cost = here + skip
            if cost > most:
                break
            if from_gracenote and not node.is_extra:
                cost += held if from_gracenote == PARTED else held_onto
            if cost + mismatch[place] > most or (place in ways and cost > ways[place][0]):
                continue
            if timed:
                expected_s = asked_s * ratio
                off = abs(passed_s - expected_s) * off_time_per_s(expected_s)
                cost += off if off < off_most else off_most  # faster than min() in the innermost step
            if place not in ways or cost <= ways[place][0]:
                ways[place] = cost, node, now_s
    return ways


def _go_on(tables: NearTables, ways: Ways, segment: Segment, *, leave: Nodes, extra: Nodes) -> None:
    """Let the same note go on where that is cheaper."""
    before = leave[0].segment
    resume = resume_cost(segment, before)
    any_may = before is None or may_go_on(segment, before)
    for node in leave if any_may else extra:
        place = node.place
        if tables.note[place] != segment.note:
            continue
        cost = node.cost
        if before is not None and not any_may:
            cost += costs.EXTRA_SHORT - tables.extra[before.note][place]
        cost = resume + cost
        if place not in ways or cost < ways[place][0]:
            ways[place] = cost, node, node.clock


def _heard_as_own(
    tables: NearTables, ways: Ways, segment: Segment, ratio: float | None, most: float
) -> dict[int, PathNode]:
    """Return the nodes in which a note is the places' own, by its pitch and its length."""
    own: dict[int, PathNode] = {}
    lasted_s = segment.lasted_s()
    mismatch, long_grace, share = tables.mismatch[segment.note], tables.long_grace[segment.note], long_share(lasted_s)
    log_length, stretched, taken_off = tables.log_length, stretch(ratio), shortening(lasted_s)
    settled = lasted_s >= SETTLED_S
    for place, (way, origin, clock) in ways.items():
        heard = mismatch[place]
        if not settled:
            shortened = costs.SHORTENED_NOTE * (log_length[place] + stretched) - taken_off
            if shortened > 0.0:
                heard += min(shortened, tables.shortened_most[place])
        if share:
            heard += share * long_grace[place]
        cost = way + heard
        if cost <= most:
            own[place] = PathNode(segment, place, False, cost, clock, origin)
    return own


def _run_together(tables: NearTables, own: dict[int, PathNode], ratio: float, most: float) -> bool:
    """Let a held note stand for the next equal one as well, what should have parted them left out; returns whether it
    can anywhere."""
    found = False
    most = min([most, *(node.cost + costs.COMMIT_MARGIN_MOST for node in own.values())])
    for place in sorted(own):
        node = own[place]
        while run := tables.run_on.get(node.place):
            reached, cost, asked_s = run
            cost += node.cost
            if cost >= most or (reached in own and cost >= own[reached].cost):
                break
            node = PathNode(node.segment, reached, False, cost, node.clock + asked_s * ratio, node.origin, node)
            own[reached] = node
            found = True
    return found


def _heard_as_extra(tables: NearTables, leave: Nodes, segment: Segment, most: float) -> Nodes:
    """Return the nodes in which a note is an extra one."""
    extra, share = tables.extra[segment.note], extra_share(segment.lasted_s())
    before = leave[0].segment
    alone = before.note if share and before is not None and is_gracenote_short(before) else None
    nodes = []
    for node in leave:
        short, longest = extra[node.place], costs.EXTRA_LONG
        if alone is not None and tables.headed[node.place] and alone == tables.note[node.place] and not node.is_extra:
            longest = costs.WRONG_AFTER_ITS_GRACENOTE
        cost = node.cost + (short + share * (longest - short))
        if cost <= most:
            nodes.append(PathNode(segment, node.place, True, cost, node.clock, node))
    return nodes


def _agreed(alive: Nodes, last: int) -> tuple[int, PathNode] | None:
    """Return the latest note about which all these readings agree, and the node in which it began; None without one."""
    for depth in range(last, 0, -1):
        roots = {node.root for node in alive}
        if len(roots) == 1:
            return depth, roots.pop()
        alive = list({_back(node, 1) for node in alive})
    return None


def _going_on_from(front: Nodes, settled: PathNode, count: int) -> Nodes:
    """Return the nodes whose reading was in that one so many notes before."""
    if not count:
        return [node for node in front if _began_in(node, settled)]
    return [node for node in front if _began_in(_back(node, count), settled)]


def _back(node: PathNode, count: int) -> PathNode:
    """Return the node so many notes before."""
    for _ in range(count):
        assert node.origin is not None
        node = node.origin
    return node


def _began_in(node: PathNode, root: PathNode) -> bool:
    """Return whether a node's note began in that one."""
    return node is root or (node.ran_on_from is not None and node.root is root)
