"""Draws a step of a lesson: what is asked, how often in a row it went, what is said, and the chanter and lanes."""

from __future__ import annotations

from collections.abc import Iterator

from companion.schedule.count_in import CountIn
from companion.window.core.hints import Hint, hint_marks, hint_rows, with_shift
from companion.window.core.layout import Layout, Lines, lay_out
from companion.window.core.marks import Anchor, Dot, Foot, Label, Mark, Measure, Picture, Role, Style
from companion.window.core.screen import Canvas, Grab
from companion.window.core.wording import capital, fitted, wrapped_within
from companion.window.lanes.count_marks import count_marks
from companion.window.lanes.header import HEADER_LINES, LEAST_READ_S, beside_note, header_marks
from companion.window.lanes.played_in import Light, PlayedIn
from companion.window.lanes.told import Told
from companion.window.lesson.pulse_marks import pulse_marks
from companion.window.lesson.step_keys import STEP_TABLE
from companion.window.lesson.step_state import RoundPhase, StepState
from companion.window.play.play_view import PlayView
from companion.window.staff.staff_line import StaffSource
from companion.window.staff.staff_room import lines_for

EAR_LINES = Lines(3.0, 2.0)
"""What was amiss may take two lines, what is to be done now one."""

PLACE_LINES = 0.6  # the y of the topmost row in lines from the top of the header
ROUND_LINES = 0.3  # the radius of the ring of a round
NOBODY = "Play along, and each time is heard; I plays on these keys."


class StepView:
    """Makes pictures of a step; the chanter and the lanes are those of the playing screen."""

    def __init__(self, measure: Measure) -> None:
        self.measure = measure
        self._playing = PlayView(measure)

    def picture(
        self,
        state: StepState,
        canvas: Canvas,
        now_s: float,
        played: PlayedIn,
        heard: Told,
        hovered: tuple[float, float] | None = None,
        count: CountIn | None = None,
        staff: StaffSource | None = None,
    ) -> Picture:
        """The picture at `now_s` of what the step plays, with what was played in beside it and what was heard of it.

        hovered: where the pointer rests, None for elsewhere. count: the count-in that goes on at `now_s`.
        staff: who engraves what is played, None for no staff; by heart there is none.
        """
        layout = self.layout(state, canvas, played, staff)
        keys, targets = hint_marks(self._foot(state, canvas, played), layout.footer, self.measure)
        foot = Foot(layout.footer.y, tuple(keys), fades=state.play.playing)
        words = (*self._place(state, layout), *self._rings(state, layout), *self._said(state, layout, played))
        if state.by_heart and state.phase is not RoundPhase.READING:
            moving = (*words, *pulse_marks(state.play, now_s, count, layout, self.measure))
            return Picture(canvas.width, canvas.height, (), moving, tuple(targets), foot)
        sounds_s = max(now_s, count.place_s) if count else now_s
        shown = self._playing.staff_shown(state.play, canvas.display, layout, sounds_s, staff)
        still = (*self._playing.ribbon(state.play, layout).still_marks(), *(shown.marks if shown else ()))
        moving = (
            *self._playing.on_staff(shown, state.play, sounds_s, heard, count),
            *self._playing.stage(state.play, canvas.display, now_s, layout, played, heard, hovered, count),
            *self._in_hand(state, now_s, layout, count),
            *words,
        )
        return Picture(canvas.width, canvas.height, still, moving, tuple(targets), foot)

    def grab_at(
        self,
        state: StepState,
        canvas: Canvas,
        at: tuple[float, float],
        now_s: float,
        played: PlayedIn,
        staff: StaffSource | None = None,
    ) -> Grab | None:
        """What lies at a place to be taken hold of, as on the playing screen; nothing where all is hidden."""
        if state.by_heart:
            return None
        layout = self.layout(state, canvas, played, staff)
        shown = self._playing.staff_shown(state.play, canvas.display, layout, now_s, staff)
        return self._playing.grab_in(state.play, layout, at, now_s, shown)

    def layout(self, state: StepState, canvas: Canvas, played: PlayedIn, staff: StaffSource | None = None) -> Layout:
        """The layout at that size."""
        rows = hint_rows(self._foot(state, canvas, played), canvas.page.inner, self.measure)
        lines = lines_for(None if state.by_heart else staff, canvas.display)
        return lay_out(canvas.page, rows, canvas.display.print, HEADER_LINES, ear_lines=EAR_LINES, staff_lines=lines)

    def _foot(self, state: StepState, canvas: Canvas, played: PlayedIn) -> tuple[Hint, ...]:
        return with_shift(STEP_TABLE.at_foot(state, canvas.display), played.caps)

    def _in_hand(self, state: StepState, now_s: float, layout: Layout, count: CountIn | None) -> Iterator[Mark]:
        """Yield the note that sounds and its embellishment, or the count-in."""
        play = state.play
        if count:
            yield from count_marks(count, now_s, play.schedule, layout, self.measure)
            return
        least_s = LEAST_READ_S if play.playing else 0.0
        yield from header_marks(play.schedule, play.schedule.event_index_at(now_s), layout, self.measure, least_s)

    def _place(self, state: StepState, layout: Layout) -> Iterator[Label]:
        """Yield what the step is of, and where in the lesson it stands, at the right of the topmost row."""
        y, right = layout.header.y + layout.line * PLACE_LINES, layout.header.right
        room = right - beside_note(layout, self.measure)
        what = capital(state.practice.step.what) if state.practice else state.sitting.course.lesson.tune.title
        name = fitted(what, Style.STRONG, room, self.measure)
        yield Label(right, y, name, Style.STRONG, Role.INK, Anchor.RIGHT)
        taken = self.measure.width(name, Style.STRONG) + layout.line
        if self.measure.width(state.place, Style.TEXT) <= room - taken:
            yield Label(right - taken, y, state.place, Style.TEXT, Role.QUIET, Anchor.RIGHT)

    def _rings(self, state: StepState, layout: Layout) -> Iterator[Mark]:
        """Yield a ring for each time in a row that is wanted now, filled for each that was without a fault."""
        practice = state.practice
        if practice is None:
            return
        radius = layout.line * ROUND_LINES
        y = layout.page.words_y(layout.ear.y, self._said_line(layout))
        for place in range(practice.needed):
            x = layout.ear.x + radius + place * radius * 3.0
            yield Dot(x, y, radius, Role.GUIDE, filled=place < practice.in_a_row)

    def _said_line(self, layout: Layout) -> int:
        return max(1, round(layout.ear.height / layout.line)) - 1

    def _said(self, state: StepState, layout: Layout, played: PlayedIn) -> Iterator[Label]:
        """Yield what was amiss or what the step wants, and below it, beside the rings, what is to be done now."""
        first, then = state.lines
        last = self._said_line(layout)
        practice = state.practice
        role = Role.FAULT if practice and practice.last else Role.INK
        for rank, words in enumerate(wrapped_within(first, Style.STRONG, layout.ear.width, max(1, last), self.measure)):
            yield Label(layout.ear.x, layout.page.words_y(layout.ear.y, rank), words, Style.STRONG, role)
        if last == 0:
            return
        if practice and not practice.rounds and played.light is Light.OFF and not played.caps:
            then = NOBODY
        x = layout.ear.x + layout.line * (ROUND_LINES * 3.0 * (practice.needed if practice else 0) + 0.4)
        words = fitted(then, Style.TEXT, layout.ear.right - x, self.measure)
        yield Label(x, layout.page.words_y(layout.ear.y, last), words, Style.TEXT, Role.INK)
