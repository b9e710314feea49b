"""Draws, as marks, the chanter and the fingers on it at one moment."""

from __future__ import annotations

from collections.abc import Iterator

from companion.schedule.lanes import Lane
from companion.window.core.display import Display, Viewpoint
from companion.window.core.layout import ARROW_AWAY_MM, FINGER_MM, FINGER_REACH_MM, HOLE_MM, Layout
from companion.window.core.marks import Arrow, ChanterBody, Direction, Dot, FingerMark, HoleMark, Mark, Role, Side
from fingering.holes import Finger

TRAVEL_S = 0.055  # a finger is fully raised that long after it leaves its hole, at slow-down 1
LEAST_LIFT = 0.56  # an open hole is seen to be open from the first moment
CUE_S = 0.35  # the finger that moves next says so at most that long before, at slow-down 1
LEAST_CUE_S = 0.12
"""What would say so for a shorter time says nothing: it could not be read, and arrows in the movements of a quick
embellishment would flicker. Its first movement is announced, since that follows a note that lasts."""

_ARROW_GROUND = 0.62  # of its size: the ground around an arrow, without which it would be lost on a lane's bar
_LOWER = Finger.LOWER_INDEX


def hand_marks(
    lanes: tuple[Lane, ...], time_s: float, slow_down: float, layout: Layout, display: Display
) -> list[Mark]:
    """The chanter, its holes, the fingers and the arrows of the next movement at `time_s`, from the back to the front.

    The thumb comes from behind: an onlooker sees its tip hidden by the wood, the player sees it lie over its hole.
    """
    fingers = [_finger(lane, time_s, slow_down, layout, display) for lane in lanes]
    behind = fingers[:1] if display.viewpoint is Viewpoint.ONLOOKER else []
    body = ChanterBody(layout.now_x, layout.chanter_top, layout.foot_y, layout.tube)
    holes = [_hole(lane, time_s, layout, display) for lane in lanes]
    return [*behind, body, *holes, *fingers[len(behind) :], *_cues(lanes, time_s, slow_down, layout, display)]


def side_of(finger: Finger, display: Display) -> Side:
    """The side from which a finger reaches over the chanter."""
    return display.upper_side if finger < _LOWER else display.upper_side.other


def _hole(lane: Lane, time_s: float, layout: Layout, display: Display) -> HoleMark:
    closed = lane.stretches[lane.index_at(time_s)].closed
    behind = lane.finger is Finger.THUMB
    x = layout.now_x + (display.upper_side.sign * layout.tube * 0.5 if behind else 0.0)
    return HoleMark(x, layout.lane_y(lane.finger), HOLE_MM * layout.mm, closed, behind)


def lift(lane: Lane, time_s: float, slow_down: float) -> float:
    """How high a finger is, 0 on its hole to 1: it rises when its hole opens and is back down when it closes."""
    index = lane.index_at(time_s)
    now = lane.stretches[index]
    if now.closed:
        return 0.0
    travel_s = TRAVEL_S * slow_down
    since = (time_s - now.start_s) / travel_s if index > 0 else 1.0
    until = (now.end_s - time_s) / travel_s if index + 1 < len(lane.stretches) else 1.0
    height = min(1.0, since, until)
    return LEAST_LIFT + (1.0 - LEAST_LIFT) * height * height * (3.0 - 2.0 * height)


def _finger(lane: Lane, time_s: float, slow_down: float, layout: Layout, display: Display) -> FingerMark:
    side = side_of(lane.finger, display)
    x = layout.now_x + (side.sign * layout.tube * 0.5 if lane.finger is Finger.THUMB else 0.0)
    reach, thickness = FINGER_REACH_MM * layout.mm, FINGER_MM * layout.mm
    return FingerMark(x, layout.lane_y(lane.finger), reach, thickness, side, lift(lane, time_s, slow_down))


def _cues(
    lanes: tuple[Lane, ...], time_s: float, slow_down: float, layout: Layout, display: Display
) -> Iterator[Arrow | Dot]:
    """Yield an arrow beside each finger of the next movement: up for one that lifts, down for one that falls."""
    now = [lane.stretches[lane.index_at(time_s)] for lane in lanes]
    next_s = min((stretch.end_s for stretch in now), default=0.0)
    shown_s = max(next_s - CUE_S * slow_down, max((stretch.start_s for stretch in now), default=0.0))
    if time_s < shown_s or next_s - shown_s < LEAST_CUE_S:
        return
    ends = [
        stretch.end_s == next_s and stretch is not lane.stretches[-1] for lane, stretch in zip(lanes, now, strict=True)
    ]
    movers = [lane for lane, moves in zip(lanes, ends, strict=True) if moves]
    for lane in movers:
        y, side = layout.lane_y(lane.finger), side_of(lane.finger, display)
        beside = (layout.lane_y(o.finger) for o in movers if o is not lane and side_of(o.finger, display) is side)
        size = min((layout.arrow, *(abs(y - other) for other in beside)))
        x = layout.now_x + side.sign * (ARROW_AWAY_MM * layout.mm + layout.arrow / 2)
        yield Dot(x, y, size * _ARROW_GROUND, Role.GROUND)
        direction = Direction.UP if now[lane.finger].closed else Direction.DOWN
        yield Arrow(x, y, size, direction, Role.GUIDE)
