"""Which line of staff is shown at a moment: that of the phrase in hand, and a little ahead of it the one to come."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from operator import attrgetter

from companion.schedule.events import Schedule
from companion.schedule.spans import Span
from companion.score.model import Tune
from companion.window.core.display import Print
from companion.window.core.marks import Rect
from companion.window.staff.cuts import fits, staff_cuts
from companion.window.staff.passes import StaffPass, pass_at, staff_passes, together
from companion.window.staff.staff_line import EngravedLine, StaffRoom, StaffSource
from companion.window.staff.staff_marks import StaffShown, ids_of

PHRASES = {Print.NORMAL: 2, Print.BIG: 1}
"""How many stand on a line at most: as in print, and in big print one that fills the width."""

AHEAD_BEATS = 1.0
"""So long before it begins the next line is shown, so that whoever reads can go on, but never before half of the last
note has sounded."""

_NEAR_S = 1e-4
_OF_PAGE = 0.8  # how far it goes on where a line is shown page by page: what was last on one is first on the next


@dataclass(frozen=True, slots=True)
class _Kept:
    """The lines of a tune in one room, and the stretch that was repeated then.

    ends_s: from when to when each played note sounds, but for its gracenotes.
    """

    schedule: Schedule
    room: StaffRoom
    print: Print
    span: Span | None
    passes: tuple[StaffPass, ...]
    joint: StaffPass | None
    stretch: range | None
    ends_s: Mapping[int, tuple[float, float]]


class StaffView:
    """Chooses lines, and has them engraved; what belongs to a tune in a room is computed once."""

    def __init__(self) -> None:
        self._kept: _Kept | None = None

    def shown(
        self,
        source: StaffSource,
        tune: Tune,
        schedule: Schedule,
        place: Rect,
        print_size: Print,
        now_s: float,
        span: Span | None = None,
        *,
        runs: bool = False,
    ) -> StaffShown | None:
        """The line at `now_s`; None while it is not ready.

        place: where staffs stand. span: the stretch that is repeated; where it has room on one line, that alone is
        shown. runs: whether time goes on: else no line comes before its time.
        """
        room = StaffRoom.of(place)
        kept = self._kept
        if (
            kept is None
            or kept.schedule is not schedule
            or (kept.room, kept.print, kept.span) != (room, print_size, span)
        ):
            kept = self._kept = _lines_of(tune, schedule, room, print_size, span)
        here = _pass_of(kept, _played_at(schedule, now_s))
        after = _after(kept, here)
        if runs and after is not here and now_s >= _turns_s(kept, here):
            here = after
        line = source.line(tune, here.cut, room)
        source.line(tune, after.cut, room)  # so that it is ready when it is its turn
        if line is None:
            return None
        left = _left_of(line, schedule, now_s, room)
        width = min(room.width + 1, line.mask.width - left)
        return StaffShown(line, here, round(place.x), round(place.y), width, left, kept.stretch)


def _lines_of(tune: Tune, schedule: Schedule, room: StaffRoom, print_size: Print, span: Span | None) -> _Kept:
    passes = staff_passes(tune, schedule, staff_cuts(tune, room.spaces, PHRASES[print_size]))
    stretch = _played_in(schedule, span) if span else None
    joint = together(tune, schedule, passes, stretch) if stretch else None
    if joint and not fits(tune, joint.cut, room.spaces):
        joint = None
    ends_s = {event.played: (event.start_s, event.end_s) for event in schedule.events}
    return _Kept(schedule, room, print_size, span, passes, joint, stretch, ends_s)


def _pass_of(kept: _Kept, played: int) -> StaffPass:
    if kept.joint and kept.joint.first <= played < kept.joint.stop:
        return kept.joint
    return kept.passes[pass_at(kept.passes, played)]


def _played_in(schedule: Schedule, span: Span) -> range:
    """The played notes of a stretch."""
    inside = [event.played for event in schedule.events if span.holds((event.start_s + event.end_s) / 2)]
    return range(inside[0], inside[-1] + 1) if inside else range(1)


def _played_at(schedule: Schedule, time_s: float) -> int:
    return schedule.events[schedule.event_index_at(time_s)].played


def _turns_s(kept: _Kept, once: StaffPass) -> float:
    """When the line after a pass is shown."""
    start_s, end_s = kept.ends_s[once.stop - 1]
    return max((start_s + end_s) / 2, end_s - AHEAD_BEATS * _beat_s(kept.schedule, end_s))


def _after(kept: _Kept, once: StaffPass) -> StaffPass:
    """The pass that follows one, at the end of a stretch that is repeated the one with its beginning; the same where it
    is the last, and where it is never reached, as in a take that ended before."""
    if once.stop - 1 not in kept.ends_s:
        return once
    end_s = kept.ends_s[once.stop - 1][1]
    repeats = kept.span is not None and end_s >= kept.span.end_s - _NEAR_S
    next_s = kept.span.start_s if kept.span and repeats else end_s + _NEAR_S
    return _pass_of(kept, _played_at(kept.schedule, next_s))


def _left_of(line: EngravedLine, schedule: Schedule, now_s: float, room: StaffRoom) -> int:
    """From where on a line is shown that is wider than its room: as on pages, that with what sounds."""
    if line.mask.width <= room.width + 1:
        return 0
    event = schedule.events[schedule.event_index_at(now_s)]
    heads = line.heads_of(ids_of(schedule, event.played, event.grace)[0])
    page = round(room.width * _OF_PAGE)
    rank = max(0, int((heads[0].right if heads else 0.0) - room.width + page - 1) // page)
    return min(rank * page, line.mask.width - room.width)


def _beat_s(schedule: Schedule, time_s: float) -> float:
    """How long a beat lasts about a moment; no time where there are no beats."""
    stop = bisect_right(schedule.beats, time_s, key=attrgetter("at_s"))
    return schedule.beats[stop - 1].at_s - schedule.beats[stop - 2].at_s if stop >= 2 else 0.0
