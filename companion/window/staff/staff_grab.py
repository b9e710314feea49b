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
    there_s = _there_s(shown, schedule, at)
    if there_s is None:
        return None
    return Grab(
        Seek(there_s),
        HearAlone(there_s, repeated=True),
        lambda x: Scrub(_along_s(shown, schedule, there_s, x)),
        LetGo(),
    )


def sought_on_staff(shown: StaffShown, schedule: Schedule, at: tuple[float, float]) -> Grab | None:
    """As `staff_grab`, on a screen where a note is not heard alone: what lies under the pointer is only gone to."""
    there_s = _there_s(shown, schedule, at)
    if there_s is None:
        return None
    return Grab(Seek(there_s), Seek(there_s), lambda x: Seek(_along_s(shown, schedule, there_s, x)), LetGo())


def _there_s(shown: StaffShown, schedule: Schedule, at: tuple[float, float]) -> float | None:
    """The moment of the note at a place; None for none."""
    event = event_at(shown, schedule, *at)
    return None if event is None else settled_s(schedule, event)


def _along_s(shown: StaffShown, schedule: Schedule, else_s: float, x: float) -> float:
    """The moment of the note that stands nearest to an x."""
    event = event_along(shown, schedule, x)
    return else_s if event is None else settled_s(schedule, event)
