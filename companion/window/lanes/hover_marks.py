"""Names the finger under the pointer, and its movement at that moment of the tune."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from companion.schedule.events import Event, EventKind, Schedule
from companion.schedule.lanes import FingerStretch, Lane
from companion.window.core.layout import Layout
from companion.window.core.marks import Frame, Label, Mark, Measure, Rect, Role, Style, Wash


def hover_marks(
    at: tuple[float, float] | None,
    lanes: Sequence[Lane],
    schedule: Schedule,
    time_at: Callable[[float], float],
    layout: Layout,
    measure: Measure,
) -> Iterator[Mark]:
    """Yield a plate beside the pointer with the words for what is under it; nothing where no lane is near.

    at: the pointer, None while it is elsewhere. time_at: the moment (s) that stands at an x of the window.
    """
    if at is None:
        return
    x, y = at
    lane = min(lanes, key=lambda each: abs(layout.lane_y(each.finger) - y))
    if abs(layout.lane_y(lane.finger) - y) > layout.lane * 0.5:
        return
    time_s = time_at(x)
    if not lane.stretches[0].start_s <= time_s < lane.stretches[-1].end_s:
        return
    stretch = lane.stretches[lane.index_at(time_s)]
    yield from _plate(f"{lane.finger.label}: {movement_words(stretch, schedule)}", x, y, layout, measure)


def movement_words(stretch: FingerStretch, schedule: Schedule) -> str:
    """What a finger does while it is down or up for that time, and for which note it moves next."""
    event = schedule.events[schedule.event_index_at(stretch.start_s + 1e-6)]
    if stretch.brief and event.kind is EventKind.GRACENOTE:
        return f"{'comes down' if stretch.closed else 'lifts'} for the {_named(event)}"
    if stretch.end_s >= schedule.duration_s - 1e-9:
        return "stays down" if stretch.closed else "stays up"
    following = _named(schedule.events[schedule.event_index_at(stretch.end_s + 1e-6)])
    return f"down, lifts for {following}" if stretch.closed else f"up, comes down for {following}"


def _named(event: Event) -> str:
    return f"{event.note.label} gracenote" if event.kind is EventKind.GRACENOTE else event.note.label


def _plate(words: str, x: float, y: float, layout: Layout, measure: Measure) -> Iterator[Mark]:
    pad = layout.line * 0.4
    width, height = measure.width(words, Style.TEXT) + 2 * pad, layout.line * 1.3
    left = min(max(x + layout.line, layout.margin), layout.width - layout.margin - width)
    top = y - height - layout.line * 0.5
    rect = Rect(left, top, width, height)
    yield Wash(rect, Role.GROUND, 6.0)
    yield Frame(rect, Role.PAST, 1.2, 6.0)
    yield Label(left + pad, top + height / 2, words, Style.TEXT)
