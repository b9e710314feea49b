"""How the unsure places of a tune that was written down are marked on the staff and in the lanes: by shape and sign."""

from __future__ import annotations

from collections.abc import Iterator

from companion.window.core.layout import Layout
from companion.window.core.marks import Anchor, Arrow, Direction, Frame, Label, Mark, Rect, Role, Rule, Style
from companion.window.lanes.ribbon import Ribbon
from companion.window.staff.staff_marks import StaffShown, ids_of
from companion.window.written.written_state import WrittenState

UNSURE = "?"
_OUT_SPACES = 0.55
_ARROW_SPACES, _QUIET_SHARE = 2.0, 0.6
_STROKE_PX, _THICK_PX = 2.0, 3.5


def staff_doubts(shown: StaffShown, state: WrittenState) -> Iterator[Mark]:
    """Yield a frame around the heads of each place that is not decided, with an arrow over it; of the one in hand both
    are larger, and once it is decided there is no arrow."""
    schedule = state.play.schedule
    for rank in range(len(state.doubts)):
        in_hand = rank == state.marked
        if rank in state.settled and not in_hand:
            continue
        notes = state.notes_of(rank)
        played = [i for i, each in enumerate(schedule.played) if each.note.rank in notes]
        heads = shown.heads(id_ for i in played[: len(notes)] for id_ in ids_of(schedule, i)[:1])
        if heads:
            yield from _framed(heads, shown, in_hand=in_hand, decided=rank in state.settled)


def _framed(heads: tuple[Rect, ...], shown: StaffShown, *, in_hand: bool, decided: bool) -> Iterator[Mark]:
    out = _OUT_SPACES * shown.line.space
    left, right = min(each.x for each in heads) - out, max(each.right for each in heads) + out
    top, bottom = min(each.y for each in heads) - out, max(each.bottom for each in heads) + out
    role = Role.GUIDE if decided else Role.FAULT
    yield Frame(Rect(left, top, right - left, bottom - top), role, _THICK_PX if in_hand else _STROKE_PX, out)
    if not decided:
        size = _ARROW_SPACES * shown.line.space * (1.0 if in_hand else _QUIET_SHARE)
        y = max(shown.y + size / 2, top - size * 0.6)
        yield Arrow((left + right) / 2, y, size, Direction.DOWN, role)


def lane_doubts(ribbon: Ribbon, state: WrittenState, now_s: float, layout: Layout) -> Iterator[Mark]:
    """Yield, for each place in sight that is not decided, a ringed question mark below the lanes where it begins, and
    for the one in hand a stroke through them."""
    schedule = state.play.schedule
    radius = layout.line * 0.42
    for rank in range(len(state.doubts)):
        if rank in state.settled:
            continue
        notes = state.notes_of(rank)
        for played, each in enumerate(schedule.played):
            if each.note.rank != notes.start or not notes:
                continue
            x = ribbon.x_at(schedule.note_onsets_s[played], now_s)
            if not radius <= x <= layout.width - radius or abs(x - layout.now_x) < layout.tube:
                continue
            y = layout.strokes_bottom + radius + layout.line * 0.06
            if rank == state.marked:
                yield Rule(x, layout.strokes_top, x, layout.strokes_bottom, Role.FAULT, 2.5)
            yield Frame(Rect(x - radius, y - radius, 2 * radius, 2 * radius), Role.FAULT, _STROKE_PX, radius)
            yield Label(x, y, UNSURE, Style.STRONG, Role.FAULT, Anchor.CENTRE)
