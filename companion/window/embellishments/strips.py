"""A small strip of an embellishment's finger movements: the lanes of the large picture, over its gracenotes alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache

from companion.schedule.build import build_schedule
from companion.schedule.events import EventKind
from companion.schedule.lanes import Lane, finger_lanes
from companion.schedule.timing import Timing
from companion.score.exercise import exercise_of
from companion.window.core.marks import Mark, Rect, Role, Rule
from companion.window.embellishments.subject import Subject
from companion.window.lanes.lane_marks import LaneStyle, Sight, lane_marks
from fingering.holes import Finger

AROUND_S = 0.06
"""Of the notes before and after this much is seen: enough to see which fingers stay."""

WIDEST_GRACENOTE = 1.1
"""A gracenote is at most this wide, in heights of the strip, so that a single one does not fill it."""

STRIPE_SHARE = 0.46
"""How thick a bar is, of the distance of two lanes."""

HANDS_APART = 0.8
"""How much further than others the lanes of the two hands are from one another, in lanes."""

_KEPT = 1024
"""Drawn strips that are remembered: some windows full of rows."""


@dataclass(frozen=True, slots=True)
class Strip:
    """The lanes of an embellishment, the time (s) that is shown of them, and how long its first gracenote is."""

    lanes: tuple[Lane, ...]
    first_s: float
    last_s: float
    gracenote_s: float


@cache
def strip_of(subject: Subject) -> Strip:
    """The movements at full speed. Cached, since timing all of the catalogue takes longer than a frame."""
    schedule = build_schedule(exercise_of(subject.embellishment, subject.before), Timing())
    graces = [event for event in schedule.events if event.played == 1 and event.kind is EventKind.GRACENOTE]
    first, last = graces[0], graces[-1]
    return Strip(finger_lanes(schedule), first.start_s - AROUND_S, last.end_s + AROUND_S, first.end_s - first.start_s)


@lru_cache(maxsize=_KEPT)
def strip_marks(subject: Subject, area: Rect) -> tuple[Mark, ...]:
    """The marks of a strip within `area`, from its left. Cached, since a list is drawn every frame."""
    return tuple(_marks(strip_of(subject), area))


def _marks(strip: Strip, area: Rect) -> Iterator[Mark]:
    lasts_s = strip.last_s - strip.first_s
    scale = min(area.width / lasts_s, area.height * WIDEST_GRACENOTE / strip.gracenote_s)
    pitch = area.height / (len(strip.lanes) + HANDS_APART)
    right = area.x + lasts_s * scale
    style = LaneStyle(area.x, right, area.x, max(2.0, pitch * STRIPE_SHARE), 0.0)
    sight = Sight(strip.first_s, strip.first_s, strip.last_s)
    for lane in strip.lanes:
        y = area.y + (lane.finger + 0.5 + (HANDS_APART if lane.finger >= Finger.LOWER_INDEX else 0.0)) * pitch
        yield Rule(area.x, y, right, y, Role.HAIR)
        yield from lane_marks(lane, sight, lambda time_s: area.x + (time_s - strip.first_s) * scale, y, style)
