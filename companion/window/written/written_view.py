"""Draws a tune that was written down: its staff and lanes, its unsure places, and in words the one in hand."""

from __future__ import annotations

from collections.abc import Iterator

from companion.schedule.spans import whereabouts
from companion.window.core.hints import hint_marks, hint_rows
from companion.window.core.layout import Layout, Lines, lay_out
from companion.window.core.marks import Foot, Label, Mark, Measure, Picture, Role, Style
from companion.window.core.screen import Canvas
from companion.window.core.wording import capital, fitted, wrapped_within
from companion.window.lanes.header import HEADER_LINES, LEAST_READ_S, header_marks, place_marks
from companion.window.lanes.played_in import NOTHING_PLAYED
from companion.window.lanes.told import NOTHING_TOLD
from companion.window.play.play_view import PlayView
from companion.window.staff.staff_line import StaffSource
from companion.window.staff.staff_room import lines_for
from companion.window.written.written_keys import foot_hints
from companion.window.written.written_marks import lane_doubts, staff_doubts
from companion.window.written.written_state import WrittenState

SAID_LINES = Lines(3.0, 1.9)
"""What is unsure may take two lines, and what was decided one."""

ALL_SURE = "Nothing in it is unsure."
ALL_DECIDED = "All is decided: Enter saves the tune."


class WrittenView:
    """Makes pictures of a tune that was written down; chanter, lanes and staff are those of the playing screen."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure
        self._playing = PlayView(measure)

    def picture(
        self, state: WrittenState, canvas: Canvas, now_s: float, staff: StaffSource | None, notice: str
    ) -> Picture:
        """The picture at `now_s` of the tune. notice: one line about keeping it, "" for none."""
        layout = self.layout(state, canvas, staff)
        keys, targets = hint_marks(foot_hints(state, canvas.display), layout.footer, self.measure)
        play = state.play
        shown = self._playing.staff_shown(play, canvas.display, layout, now_s, staff)
        ribbon = self._playing.ribbon(play, layout)
        here = whereabouts(play.tune, play.schedule, now_s)
        place = place_marks(play.tune.title, here, layout, self.measure, self._kept(state))
        still = (*ribbon.still_marks(), *place, *(shown.marks if shown else ()))
        least_s = LEAST_READ_S if play.playing else 0.0
        moving: tuple[Mark, ...] = (
            *self._playing.on_staff(shown, play, now_s, NOTHING_TOLD, None),
            *(staff_doubts(shown, state) if shown else ()),
            *self._playing.stage(play, canvas.display, now_s, layout, NOTHING_PLAYED, NOTHING_TOLD, None, None),
            *lane_doubts(ribbon, state, now_s, layout),
            *header_marks(play.schedule, play.schedule.event_index_at(now_s), layout, self.measure, least_s),
            *self._said(state, layout, notice),
        )
        foot = Foot(layout.footer.y, tuple(keys), fades=False)
        return Picture(canvas.width, canvas.height, still, moving, tuple(targets), foot)

    def layout(self, state: WrittenState, canvas: Canvas, staff: StaffSource | None) -> Layout:
        """The layout at that size."""
        rows = hint_rows(foot_hints(state, canvas.display), canvas.page.inner, self.measure)
        lines = lines_for(staff, canvas.display)
        return lay_out(canvas.page, rows, canvas.display.print, HEADER_LINES, ear_lines=SAID_LINES, staff_lines=lines)

    def _kept(self, state: WrittenState) -> str:
        return f"{state.left} unsure" if state.left else "nothing unsure"

    def _said(self, state: WrittenState, layout: Layout, notice: str) -> Iterator[Label]:
        """Yield what is unsure at the place in hand, and below it what stands there now."""
        most = max(1, round(layout.ear.height / layout.line) - 1)
        doubt = state.doubt
        words = f"{capital(doubt.words)}." if doubt else ALL_SURE
        role = Role.FAULT if doubt and state.marked not in state.settled else Role.INK
        lines = wrapped_within(words, Style.STRONG, layout.ear.width, most, self.measure)
        for rank, line in enumerate(lines):
            yield Label(layout.ear.x, layout.page.words_y(layout.ear.y, rank), line, Style.STRONG, role)
        below = fitted(notice or self._standing(state), Style.TEXT, layout.ear.width, self.measure)
        yield Label(layout.ear.x, layout.page.words_y(layout.ear.y, len(lines)), below, Style.TEXT, Role.INK)

    def _standing(self, state: WrittenState) -> str:
        if not state.left:
            return ALL_DECIDED
        reading = "as it is written" if not state.chosen else f"reading {state.chosen + 1} of {state.readings}"
        decided = "decided" if state.marked in state.settled else "not decided yet"
        return f"Now {reading}: {decided}."
