"""A tune, or a stretch of it, as a film: it stands still for a moment, is counted in, plays, and ends in calm."""

from __future__ import annotations

from dataclasses import replace

from companion.film.scene import END_S, FLOW_IN_S, LONGEST_COUNT_S, STILL_S
from companion.schedule.count_in import CountIn, count_in
from companion.schedule.events import Schedule
from companion.schedule.timing import Timing
from companion.score.model import Tune
from companion.sound.renderer import Renderer
from companion.sound.settings import SoundSettings
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas
from companion.window.play.play_state import first_state
from companion.window.play.play_view import PlayView, no_foot
from companion.window.staff.staff_line import StaffSource


def short_count(schedule: Schedule) -> CountIn | None:
    """The count-in of a tune; None where nothing can be counted, or it would take longer than LONGEST_COUNT_S."""
    count = count_in(schedule, 0.0)
    return count if count and count.length_s <= LONGEST_COUNT_S else None


class TuneScene:
    """The playing screen's picture of a tune that plays once, without keys and without what is repeated.

    Where the metronome is on, the count is heard as well as seen. staff: who engraves the tune; None for no staff.
    """

    def __init__(
        self, tune: Tune, timing: Timing, sound: SoundSettings, canvas: Canvas, staff: StaffSource | None = None
    ) -> None:
        state = first_state((tune,), tune, timing)
        self._state = replace(state, sound=sound, span=None, playing=True)
        self._canvas, self._staff = canvas, staff
        self._view = PlayView(canvas.measure, no_foot)
        self._count = short_count(state.schedule)
        self._moves_s = self._count.begins_s if self._count else -FLOW_IN_S
        self.title = tune.title
        self.length_s = STILL_S - self._moves_s + state.schedule.duration_s + END_S
        self.renderer = Renderer(state.schedule, sound)
        self.renderer.seek(self.tune_s(0.0), self._count)

    def tune_s(self, at_s: float) -> float:
        """The moment of the tune's schedule that is heard at a moment of the film."""
        return at_s - STILL_S + self._moves_s

    def picture(self, at_s: float) -> Picture:
        """What is to be seen: before the count and after the end all stands still."""
        now_s = self.tune_s(at_s)
        count = self._count if self._count and self._moves_s <= now_s < self._count.place_s else None
        shown_s = min(max(now_s, self._moves_s), self._state.schedule.duration_s)
        canvas, size = self._canvas, (self._canvas.width, self._canvas.height)
        return self._view.picture(self._state, canvas.display, shown_s, *size, count=count, staff=self._staff)
