"""Draws one finger's lane: bars while its hole is closed, a small arch where it lifts for a gracenote."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from companion.schedule.lanes import Lane
from companion.schedule.spans import Span
from companion.window.core.marks import Arch, Mark, Role, Stripe

SHORTEST_PX = 3.0
OUTSIDE_SHARE = 0.5  # how thick a bar is outside of the stretch that is repeated
ALWAYS = Span(float("-inf"), float("inf"))


@dataclass(frozen=True, slots=True)
class LaneStyle:
    """How lanes are drawn, in pixels: between which x, where the present stands, how thick bars and how high arches."""

    left: float
    right: float
    now_x: float
    thickness: float
    arch_height: float


@dataclass(frozen=True, slots=True)
class Sight:
    """What of a schedule is in sight at `now_s`: from first_s to last_s, nothing before `starts_s`, and what lies
    outside of `repeated` quieter.
    """

    now_s: float
    first_s: float
    last_s: float
    starts_s: float = float("-inf")
    repeated: Span = ALWAYS


def lane_marks(lane: Lane, sight: Sight, x_at: Callable[[float], float], y: float, style: LaneStyle) -> Iterator[Mark]:
    """Yield the marks of what is in sight of a lane, on the line `y`; what is before the present is paler."""
    for stretch in lane.between(max(sight.first_s, sight.starts_s), sight.last_s):
        begin_s = max(stretch.start_s, sight.starts_s)
        if stretch.closed:
            for start_s, end_s, inside in _parted(begin_s, stretch.end_s, sight.repeated):
                x0, x1 = x_at(start_s), x_at(end_s)
                if inside:
                    yield from _stripes(x0, x1, y, style, style.thickness, Role.INK)
                else:
                    yield from _stripes(x0, x1, y, style, style.thickness * OUTSIDE_SHARE, Role.PAST)
        elif stretch.brief and style.arch_height:
            x0, x1 = x_at(begin_s), x_at(stretch.end_s)
            loud = x1 > style.now_x and sight.repeated.holds(begin_s)
            yield Arch(x0, max(x1, x0 + SHORTEST_PX), y, style.arch_height, Role.INK if loud else Role.QUIET)


def _stripes(x0: float, x1: float, y: float, style: LaneStyle, thickness: float, coming: Role) -> Iterator[Stripe]:
    left, right = max(x0, style.left), min(x1, style.right)
    if left < style.now_x:
        yield Stripe(left, min(right, style.now_x), y, thickness, Role.PAST)
    if right > style.now_x:
        yield Stripe(max(left, style.now_x), right, y, thickness, coming)


def _parted(start_s: float, end_s: float, repeated: Span) -> Iterator[tuple[float, float, bool]]:
    """Yield the parts (begin, end, whether inside) of a stretch before, within and after the repeated one."""
    cuts = (start_s, min(max(repeated.start_s, start_s), end_s), max(min(repeated.end_s, end_s), start_s), end_s)
    for rank, (begin, end) in enumerate(pairwise(cuts)):
        if end > begin:
            yield begin, end, rank == 1
