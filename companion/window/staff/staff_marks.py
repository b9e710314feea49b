"""Draws a line of staff: the note or gracenote that sounds, and what was found where it was played."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from companion.schedule.events import EventKind, Schedule
from companion.score.staff.model import grace_id, note_id
from companion.window.core.marks import Arrow, Direction, Engraved, Frame, Mark, Rect, Role, Rule, Wash
from companion.window.staff.passes import StaffPass
from companion.window.staff.staff_line import EngravedLine

if TYPE_CHECKING:  # the first frame marks nothing of the ear, and does not wait for it
    from companion.listen.model.findings import Finding

MOST_PIECES = 8
"""A note that is written as more tied ones is marked on the first of them."""

_PLATE_SPACES = 0.45  # how much wider the plate behind a note is than its head, at each side
_GRACE_PLATE_SPACES = 0.35  # gracenotes stand close to each other
_UNDER_SPACES = 2.7  # where the line under the note that sounds lies, below the staff
_UNDER_THICK = 0.42
_FRAME_SPACES = 0.4
_STROKE_SPACES = 0.22
_ARROW_SPACES = 2.0
_QUIET_SHARE = 0.6
_BRACKET_SPACES = 0.75
_TAP_SPACES = 2.5  # how far from a head a tap still means it


@dataclass(frozen=True, slots=True)
class StaffShown:
    """A line of staff at (x, y) of the window, and which time through it is being played.

    width: how much of it is shown, from `left` on; all of it but where a bar is wider than its room. stretch: the
    played notes that are repeated, None where all are, or none.
    """

    line: EngravedLine
    once: StaffPass
    x: float
    y: float
    width: int
    left: int = 0
    stretch: range | None = None

    @property
    def place(self) -> Rect:
        """Where it stands."""
        return Rect(self.x, self.y, self.width, self.line.mask.height)

    def seen(self, head: Rect) -> Rect | None:
        """Where in the window a head of the line stands; None where that part is not shown."""
        inside = self.left <= head.x and head.right <= self.left + self.width
        return replace(head, x=head.x - self.left + self.x, y=head.y + self.y) if inside else None

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The line itself, which does not move."""
        mask = self.line.mask
        return (Engraved(self.x, self.y, mask, Rect(self.left, 0, self.width, mask.height)),)

    def heads(self, ids: Iterable[str]) -> tuple[Rect, ...]:
        """Where in the window the heads stand that have one of these ids."""
        seen = (self.seen(head) for head in self.line.heads_of(*ids))
        return tuple(head for head in seen if head)


def sounding_marks(shown: StaffShown, schedule: Schedule, event_index: int) -> Iterator[Mark]:
    """Yield what marks the note, gracenote or rest of an event, where it is on the line that is shown.

    A plate behind it, its head in another colour, and a line below the staff, as below the gracenotes in the header.
    """
    event = schedule.events[event_index]
    if not shown.once.first <= event.played < shown.once.stop:
        return
    heads = shown.heads(ids_of(schedule, event.played, event.grace))
    space, is_grace = shown.line.space, event.kind is EventKind.GRACENOTE
    top, bottom = shown.y + shown.line.top, shown.y + shown.line.bottom
    wider = (_GRACE_PLATE_SPACES if is_grace else _PLATE_SPACES) * space
    for head in heads:
        left, right = round(head.x - wider), round(head.right + wider)
        under = bottom + round(_UNDER_SPACES * space)
        above = round(max(shown.y, min(top - space, head.y - space)))
        plate = Rect(left, above, right - left, under - above)
        yield Wash(plate, Role.WASH, space * 0.5)
        yield _again(shown, plate, Role.PAST, Role.INK)
        yield _again(shown, Rect(left, round(head.y), right - left, round(head.height) + 1), None, Role.GUIDE)
        yield Rule(left, under, right, under, Role.GUIDE, max(3.0, space * _UNDER_THICK))


def stretch_marks(shown: StaffShown, schedule: Schedule) -> Iterator[Mark]:
    """Yield a bracket, as in the lanes, at each end of the stretch that is repeated where the line goes on beyond."""
    stretch, once, space = shown.stretch, shown.once, shown.line.space
    if stretch is None:
        return
    top = shown.y + shown.line.top - _BRACKET_SPACES * space
    bottom = shown.y + shown.line.bottom + _BRACKET_SPACES * space
    first, last = stretch.start, stretch.stop - 1
    if once.first < first < once.stop:
        heads = shown.heads((*ids_of(schedule, first, 0), *ids_of(schedule, first)))
        if heads:
            yield from _bracket(min(head.x for head in heads) - _BRACKET_SPACES * space, 1, top, bottom, space)
    if once.first <= last < once.stop - 1:
        heads = shown.heads(ids_of(schedule, last))
        if heads:
            yield from _bracket(max(head.right for head in heads) + _BRACKET_SPACES * space, -1, top, bottom, space)


def _bracket(x: float, inward: int, top: float, bottom: float, space: float) -> Iterator[Rule]:
    x = round(x)
    left, right = sorted((x, x + inward * space * _BRACKET_SPACES))
    yield Rule(x, top, x, bottom, Role.GUIDE, 2.0)
    for y in (top, bottom):
        yield Rule(left, y, right, y, Role.GUIDE, 2.0)


def ids_of(schedule: Schedule, played: int, grace: int | None = None) -> tuple[str, ...]:
    """The ids of a played note, tied pieces of it too, or of one of its gracenotes."""
    rank = schedule.played[played].note.rank
    if grace is not None:
        return (grace_id(rank, grace),)
    return tuple(note_id(rank, piece) for piece in range(MOST_PIECES))


def found_marks(
    shown: StaffShown, schedule: Schedule, findings: Iterable[Finding], quiet: Iterable[Finding] = ()
) -> Iterator[Mark]:
    """Yield an arrow over each note of this time through at which something was found, and a frame around its head.

    They are those of the lanes: above a finding that is not spoken of now there is a small, quiet arrow alone.
    """
    for finding in quiet:
        for head in _found_at(shown, schedule, finding):
            yield _arrow(shown, head, Role.PAST, _QUIET_SHARE)
    for finding in findings:
        for head in _found_at(shown, schedule, finding):
            space = shown.line.space
            out = _FRAME_SPACES * space
            frame = Rect(head.x - out, head.y - out, head.width + 2 * out, head.height + 2 * out)
            yield Frame(frame, Role.FAULT, max(2.0, _STROKE_SPACES * space), frame.height * 0.3)
            yield _arrow(shown, frame, Role.FAULT, 1.0)


def event_at(shown: StaffShown, schedule: Schedule, x: float, y: float) -> int | None:
    """The index of the event whose note or gracenote stands nearest to a place on the line; None beside the line.

    Of this time through, and only where one stands near enough to be meant.
    """
    if not shown.place.holds(x, y):
        return None
    nearest = min(_heads_of_events(shown, schedule), key=lambda each: _apart(each[1], x), default=None)
    if nearest is None or _apart(nearest[1], x) > _TAP_SPACES * shown.line.space:
        return None
    return nearest[0]


def event_along(shown: StaffShown, schedule: Schedule, x: float) -> int | None:
    """The index of the event whose note or gracenote stands nearest to an x, however far; None where there is none."""
    nearest = min(_heads_of_events(shown, schedule), key=lambda each: _apart(each[1], x), default=None)
    return None if nearest is None else nearest[0]


def _heads_of_events(shown: StaffShown, schedule: Schedule) -> Iterator[tuple[int, Rect]]:
    """Yield the events of this time through, by their index, with the head of each."""
    heads = {head.id: head.place for head in shown.line.heads}
    for index, event in enumerate(schedule.events):
        if shown.once.first <= event.played < shown.once.stop:
            head = heads.get(ids_of(schedule, event.played, event.grace)[0])
            seen = shown.seen(head) if head else None
            if seen:
                yield index, seen


def _apart(head: Rect, x: float) -> float:
    return abs(head.x + head.width / 2 - x)


def _found_at(shown: StaffShown, schedule: Schedule, finding: Finding) -> Sequence[Rect]:
    """The head of the note that a finding is told of, if it is of this time through."""
    if not shown.once.first <= finding.played < shown.once.stop or finding.played >= len(schedule.played):
        return ()
    return shown.heads(ids_of(schedule, finding.played)[:1])


def _arrow(shown: StaffShown, head: Rect, role: Role, share: float) -> Arrow:
    size = _ARROW_SPACES * shown.line.space * share
    y = max(shown.y + size / 2, head.y - size * 0.6)
    return Arrow(head.x + head.width / 2, y, size, Direction.DOWN, role)


def _again(shown: StaffShown, rect: Rect, lines: Role | None, notes: Role) -> Engraved:
    """What the line has in a rectangle of the window, over what was drawn on it."""
    mask = shown.line.mask
    left, top = max(0.0, rect.x - shown.x), max(0.0, rect.y - shown.y)
    right, bottom = min(shown.width, rect.right - shown.x), min(mask.height, rect.bottom - shown.y)
    part = Rect(left + shown.left, top, max(0.0, right - left), max(0.0, bottom - top))
    return Engraved(shown.x + left, shown.y + top, mask, part, lines, notes)
