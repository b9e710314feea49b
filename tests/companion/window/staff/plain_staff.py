"""A source of lines that engraves nothing: for what holds of places and marks, in windows of any size, at once."""

from __future__ import annotations

from companion.score.engrave.single.reckoned import reckoned_widths
from companion.score.model import Tune
from companion.score.staff.model import grace_id, note_id
from companion.window.core.marks import InkMask, Rect
from companion.window.staff.cuts import StaffCut
from companion.window.staff.staff_line import EngravedLine, StaffHead, StaffRoom

_HEAD_SPACES, _GRACE_SPACES = 1.26, 0.83


class PlainStaff:
    """Has every line at once: its notes and gracenotes are spread evenly, all on the middle of an empty staff."""

    trouble = ""
    is_there = is_ready = True

    def __init__(self) -> None:
        self.asked: list[StaffCut] = []

    def line(self, tune: Tune, cut: StaffCut, room: StaffRoom) -> EngravedLine:
        """The line."""
        self.asked.append(cut)
        wide = min(room.width, int(reckoned_widths(tune).of(cut.first, cut.stop) * 2.5 * room.space))
        ids = [
            (each, _GRACE_SPACES if each.startswith("g") else _HEAD_SPACES)
            for bar in tune.bars[cut.first : cut.stop]
            for note in bar.notes
            for each in (*(grace_id(note.rank, i) for i in range(len(note.gracenotes))), note_id(note.rank))
        ]
        top, step = room.middle_px - 2 * room.space, 0.94 * wide / len(ids)
        heads = tuple(
            StaffHead(name, Rect(0.05 * wide + place * step, top + 1.5 * room.space, width * room.space, room.space))
            for place, (name, width) in enumerate(ids)
        )
        blank = bytes(wide * room.height)
        return EngravedLine(InkMask(wide, room.height, blank, blank), heads, top, room.space)
