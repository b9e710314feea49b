"""What the pointer does on a line of staff: a tap goes to a note, a drag through the tune from note to note."""

from __future__ import annotations

from companion.schedule.events import Schedule
from companion.schedule.spans import settled_s
from companion.window.core.actions import HearAlone, LetGo, Scrub, Seek
from companion.window.core.screen import Grab
from companion.window.staff.staff_marks import StaffShown, event_along, event_at


def staff_grab(shown: StaffShown, schedule: Schedule, at: tuple[float, float]) -> Grab | None:
    """The note or gracenote at a place of the window, of the time through the line that is shown; None for none there.

    A tap goes to the moment at which its fingers have arrived, a long press lets it be heard alone, again and again.
    """
    event = event_at(shown, schedule, *at)
    if event is None:
        return None
    there_s = settled_s(schedule, event)

    def dragged(to_x: float) -> Scrub:
        along = event_along(shown, schedule, to_x)
        return Scrub(there_s if along is None else settled_s(schedule, along))

    return Grab(Seek(there_s), HearAlone(there_s, repeated=True), dragged, LetGo())
