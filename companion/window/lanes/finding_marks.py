"""Draws findings as marks: arrows and frames in the lanes where they were heard, frames on the chanter."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from companion.window.core.display import Display
from companion.window.core.hands import side_of
from companion.window.core.layout import FINGER_MM, FINGER_REACH_MM, TUBE_MM, Layout
from companion.window.core.marks import Arrow, Direction, Frame, Mark, Rect, Role, Side

if TYPE_CHECKING:  # the first frame marks nothing of the ear, and does not wait for it
    from companion.listen.model.findings import Finding

ARROW_TALL = 0.8  # in lines; so high above the first lane an arrow stays clear of the line of words
ARROW_ABOVE = 0.62
_FRAME_TALL = 0.9  # of a lane: frames on two neighbours do not touch
_STROKE = 0.1  # of a line of words, and of a finding that is looked at:
CHOSEN_STROKE = 0.15
_OUTLINE_PX = 1.0  # so thin that fingers and wood are seen whole beneath
_MOST_OF_LANE = 0.47  # half a frame on the chanter, so that those of two neighbours do not meet
_QUIET_SHARE = 0.45  # of an arrow that is spoken of


def finding_marks(findings: Iterable[Finding], x_at: Callable[[float], float], layout: Layout) -> Iterator[Mark]:
    """Yield, for each finding in sight, an arrow above the lanes and a frame on the lane of each finger to blame."""
    for finding in findings:
        x = x_at(finding.at_s)
        if -layout.lane <= x <= layout.width + layout.lane:
            yield _arrow(x, layout)
            for rect in _places(finding, x_at, layout):
                yield Frame(rect, Role.FAULT, layout.line * _STROKE, rect.height * 0.3)


def quiet_arrows(findings: Iterable[Finding], x_at: Callable[[float], float], layout: Layout) -> Iterator[Mark]:
    """Yield a small arrow above the lanes for each finding in sight that is not spoken of now; no finger is framed."""
    for finding in findings:
        arrow = _arrow(x_at(finding.at_s), layout)
        if 0.0 <= arrow.x <= layout.width:
            yield replace(arrow, size=arrow.size * _QUIET_SHARE, role=Role.PAST)


def chosen_arrow(finding: Finding, x_at: Callable[[float], float], layout: Layout) -> Iterator[Mark]:
    """Yield the arrow of the finding that is looked at; none where it would stand on the chanter, of which the top and
    the thumb would be hidden: there the frames round the fingers tell the place."""
    arrow = _arrow(x_at(finding.at_s), layout)
    if abs(arrow.x - layout.now_x) > (layout.tube + arrow.size) / 2:
        yield arrow


def chosen_frames(finding: Finding, x_at: Callable[[float], float], layout: Layout) -> Iterator[Mark]:
    """Yield the frames of the finding that is looked at, bolder than others and over everything that they lie on."""
    for rect in _places(finding, x_at, layout):
        yield from _outlined(rect, layout, rect.height * 0.3)


def _arrow(x: float, layout: Layout) -> Arrow:
    y = layout.lanes.y - layout.line * ARROW_ABOVE
    return Arrow(x, y, layout.line * ARROW_TALL, Direction.DOWN, Role.FAULT)


def _places(finding: Finding, x_at: Callable[[float], float], layout: Layout) -> Iterator[Rect]:
    """Yield a rectangle on the lane of each finger to blame, from when to when; as wide as a lane at least."""
    x, height = x_at(finding.at_s), layout.lane * _FRAME_TALL
    width = max(layout.lane, x_at(finding.at_s + (finding.ms or 0.0) / 1000.0) - x)
    for finger in finding.fingers:
        yield Rect(x, layout.lane_y(finger) - height / 2, width, height)


def _outlined(rect: Rect, layout: Layout, radius: float) -> Iterator[Frame]:
    """Yield a frame that can be seen on skin and wood: a little of the ground shows on both sides of its line."""
    stroke, out = layout.line * CHOSEN_STROKE, _OUTLINE_PX
    around = Rect(rect.x - out, rect.y - out, rect.width + 2 * out, rect.height + 2 * out)
    yield Frame(around, Role.GROUND, stroke + 2 * out, radius + out)
    yield Frame(rect, Role.FAULT, stroke, radius)


def lit_marks(finding: Finding | None, layout: Layout, display: Display) -> Iterator[Mark]:
    """Yield a frame around each finger to blame for `finding`, where it lies on the chanter."""
    for finger in finding.fingers if finding else ():
        reach = (TUBE_MM / 2 + FINGER_REACH_MM * 0.8) * layout.mm
        half = min(FINGER_MM / 2 * layout.mm + layout.line * CHOSEN_STROKE, layout.lane * _MOST_OF_LANE)
        away = reach if side_of(finger, display) is Side.RIGHT else -reach
        left, right = sorted((layout.now_x + away, layout.now_x - away * 0.35))
        yield from _outlined(Rect(left, layout.lane_y(finger) - half, right - left, 2 * half), layout, half * 0.8)
