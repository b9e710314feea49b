"""What was found in a take, as marks: in the lanes where it was heard, and on a thin line for the whole take."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from companion.listen.findings import Finding
from companion.window.display import Display
from companion.window.hands import side_of
from companion.window.layout import FINGER_MM, FINGER_REACH_MM, TUBE_MM, Layout
from companion.window.marks import Arrow, Direction, Dot, Frame, Mark, Rect, Role, Rule, Side
from companion.window.ribbon import STRIPE_MM
from companion.window.take_state import Sounding, TakeState

ARROW_TALL = 0.5  # in lines; so high above the first lane an arrow stays clear of the line of words
ARROW_ABOVE = 0.6
OVERVIEW_LINES = 0.75
"""The room that the whole take as a line needs above the keys."""

_LEAST_PX = 16.0
_ROOM_MM = 2.6  # between a lane and the frame around it


def finding_marks(
    findings: Sequence[Finding], chosen: int | None, x_at: Callable[[float], float], layout: Layout
) -> Iterator[Mark]:
    """The findings in sight: an arrow above the lanes, and a frame on the lane of each finger to blame.

    The one that is looked at, `chosen`, has a line through all lanes besides.
    """
    for rank, finding in enumerate(findings):
        x = x_at(finding.at_s)
        if -_LEAST_PX <= x <= layout.width + _LEAST_PX:
            yield from _one(finding, x, x_at, layout, chosen=rank == chosen)


def _one(finding: Finding, x: float, x_at: Callable[[float], float], layout: Layout, *, chosen: bool) -> Iterator[Mark]:
    y = layout.lanes.y - layout.line * ARROW_ABOVE
    if chosen:
        yield Rule(x, y, x, layout.lanes.bottom, Role.FAULT, 2.0)
    yield Arrow(x, y, layout.line * ARROW_TALL, Direction.DOWN, Role.FAULT)
    end = x_at(finding.at_s + (finding.ms or 0.0) / 1000.0)
    half = (STRIPE_MM / 2 + _ROOM_MM) * layout.mm
    for finger in finding.fingers:
        rect = Rect(x, layout.lane_y(finger) - half, max(_LEAST_PX, end - x), 2 * half)
        yield Frame(rect, Role.FAULT, width=3.0 if chosen else 2.0, radius=half * 0.6)


def lit_marks(finding: Finding | None, layout: Layout, display: Display) -> Iterator[Mark]:
    """A frame around each finger that was just to blame, where it lies on the chanter."""
    for finger in finding.fingers if finding else ():
        reach, half = (TUBE_MM / 2 + FINGER_REACH_MM * 0.8) * layout.mm, FINGER_MM / 2 * layout.mm
        away = reach if side_of(finger, display) is Side.RIGHT else -reach
        left, right = sorted((layout.now_x + away, layout.now_x - away * 0.35))
        yield Frame(Rect(left, layout.lane_y(finger) - half, right - left, 2 * half), Role.FAULT, 3.0, half * 0.8)


def overview_marks(state: TakeState, now_s: float, layout: Layout) -> Iterator[Mark]:
    """The whole take as a line: a stroke for each finding, the one looked at taller, a dot where the take stands."""
    if state.review is None or not state.review.findings:
        return
    y = layout.footer.y - layout.line * OVERVIEW_LINES * 0.6
    length_s = max(state.take.end_s - state.begin_s, 1e-6)

    def x_of(at_s: float) -> float:
        share = min(max((at_s - state.begin_s) / length_s, 0.0), 1.0)
        return layout.margin + share * (layout.width - 2 * layout.margin)

    yield Rule(layout.margin, y, layout.width - layout.margin, y, Role.HAIR, 2.0)
    for rank, finding in enumerate(state.review.findings):
        tall = layout.line * (0.34 if rank == state.chosen else 0.2)
        x = x_of(finding.at_s)
        yield Rule(x, y - tall, x, y + tall, Role.FAULT, 3.0)
    if state.sounding is Sounding.TAKE:
        yield Dot(x_of(now_s), y, layout.line * 0.16, Role.INK)
