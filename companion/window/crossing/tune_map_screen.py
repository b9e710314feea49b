"""The tune map: the movements of the tune that plays, those that most need drill first."""

from __future__ import annotations

from collections.abc import Callable

from companion.schedule.crossing import NamedTransition
from companion.schedule.events import Schedule
from companion.schedule.transitions import transitions
from companion.window.core.hints import KeyTable
from companion.window.core.list_screen import ListScreen, list_keys
from companion.window.core.marks import Picture
from companion.window.core.screen import Canvas, Screen, ScreenResult
from companion.window.crossing.tune_map_view import by_notes, drill_picture, tune_crossings
from fingering.errors import UserError
from fingering.notes import HARMONIC, Tuning

TUNE_MAP_KEYS: KeyTable[object] = list_keys("open", "back")


class TuneMapScreen(ListScreen):
    """A tune's own movements; `choose` is called with the one that is taken, and its result is returned.

    Raises UserError for a tune in which nothing moves.
    """

    keys = TUNE_MAP_KEYS

    def __init__(
        self,
        title: str,
        schedule: Schedule,
        choose: Callable[[NamedTransition], ScreenResult | Screen],
        tuning: Tuning = HARMONIC,
    ) -> None:
        super().__init__()
        found = by_notes(transitions(schedule, tuning))
        if not found:
            raise UserError("no fingers move in this tune", "choose another", title)
        self._named = tuple(NamedTransition(each.transition, each.start, each.end) for each in found)
        self._drill = tune_crossings(title, schedule, found, tuning)
        self._choose = choose

    def row_count(self) -> int:
        """How many movements there are."""
        return len(self._named)

    def choose(self, rank: int) -> ScreenResult | Screen:
        """Take a movement."""
        self.rank = rank
        return self._choose(self._named[rank])

    def picture(self, canvas: Canvas) -> Picture:
        """The list."""
        hints = self.at_foot(canvas.display)
        return drill_picture(self._drill, self.rank, hints, canvas)
